import { useState } from "preact/hooks";
import { asRefusal, post } from "../wire/client";

export function Pairing({ then }: { then: () => Promise<void> }) {
  const [code, set] = useState("");
  const [wrong, setWrong] = useState("");
  return (
    <form class="pairing" onSubmit={(e) => { e.preventDefault(); post<void>("/pair", { code: code.trim() }).then(then, (x: unknown) => setWrong(asRefusal(x).message)); }}>
      <h1>This workshop is on another machine</h1>
      <p>Its terminal shows a code that works once. Whoever has it can read and change the builds there.</p>
      <label>Code <input value={code} inputMode="text" autocomplete="one-time-code" autocapitalize="characters" onInput={(e) => set(e.currentTarget.value)} /></label>
      {wrong ? <p role="alert" class="caution">{wrong}</p> : null}
      <button type="submit" class="act act-strong">Pair</button>
    </form>
  );
}
