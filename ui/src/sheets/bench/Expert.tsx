import { Others } from "../Plain";

/** Parts, templates, lattice, propeller and whatever else the server answers for the bench. */
export function Expert() { return <Others stage="bench" />; }
