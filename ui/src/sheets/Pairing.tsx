import { useState } from "preact/hooks";
import { Lettered } from "../ink/Lettered";
import { asRefusal, post } from "../wire/client";

/** What a device sees before it has shown the code. */
export function Pairing({ then }: { then: () => Promise<void> }) {
  const [code, set] = useState("");
  const [wrong, setWrong] = useState("");
  const [busy, setBusy] = useState(false);
  const send = async (e: Event): Promise<void> => {
    e.preventDefault();
    if (!code.trim()) { setWrong("Type the code first."); return; }
    setBusy(true);
    try { await post<void>("/pair", { code: code.trim() }); setWrong(""); await then(); } catch (x) {
      const r = asRefusal(x).body;
      setWrong(r.message[0]!.toUpperCase() + r.message.slice(1) + (r.hint ? `: ${r.hint}.` : "."));
    }
    setBusy(false);
  };
  return (
    <form class="pairing" onSubmit={(e) => void send(e)}>
      <h1><Lettered text="Who is asking?" size={24} weight={1.25} /></h1>
      <p>The terminal where this workshop was started shows a code that works once, within the hour. Whoever has it can read and change the builds there for a day; what is sent is not encrypted.</p>
      <label>Code <input value={code} inputMode="text" autocomplete="one-time-code" autocapitalize="none" spellcheck={false} maxLength={16} onInput={(e) => set(e.currentTarget.value)} aria-invalid={wrong !== ""} /></label>
      {wrong ? <p role="alert" class="caution">{wrong}</p> : null}
      <button type="submit" class="act act-strong" disabled={busy}>Pair</button>
    </form>
  );
}
