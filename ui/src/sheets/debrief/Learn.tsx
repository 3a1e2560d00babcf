import { Plain } from "../Plain";

export function Learn() { return <Plain verb="learn" question={9} />; }
