import { Others } from "../Plain";

/** Learning, forecasts, repair: what the server answers for the debrief. */
export function Learn() { return <Others stage="debrief" />; }
