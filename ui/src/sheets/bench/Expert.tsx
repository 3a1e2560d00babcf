import { Plain } from "../Plain";

/** The lattice and the propeller on their own, as the server writes them. */
export function Expert() {
  return (
    <>
      <Plain verb="lattice" ask="Slopes, neutral point, derivatives and span loading of the lifting surfaces." />
      <Plain verb="prop" ask="Thrust, power and efficiency of the propeller." />
    </>
  );
}
