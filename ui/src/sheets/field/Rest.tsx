import { hello } from "../../state/shop";
import { Plain } from "../Plain";

const drawn = new Set(["launch", "fly", "land", "check", "try"]);

/** Every verb of the field that has no drawn view yet, as the server writes it. */
export function Rest() {
  const rest = (hello.value?.verbs ?? []).filter((v) => v.stage === "field" && v.needs === "build" && !drawn.has(v.name));
  return <>{rest.map((v) => <Plain key={v.name} verb={v.name} />)}</>;
}
