import { Others } from "../Plain";

/** Trial, sortie, card and whatever else the server answers for the field. */
export function Rest() { return <Others stage="field" />; }
