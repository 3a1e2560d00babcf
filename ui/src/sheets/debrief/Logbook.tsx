// The logbook as the server writes it; entries are added as key=value lines.
import { signal } from "@preact/signals";
import { useEffect, useState } from "preact/hooks";
import { RefusalStrip } from "../../bits/Refusal";
import { file, say } from "../../state/shop";
import { asRefusal, get, post, type Refusal } from "../../wire/client";

interface Book { plain?: string }
const book = signal<Book | null>(null);
const wrong = signal<Refusal | null>(null);
const kinds = ["flight", "repair", "pack", "part"];

async function load(): Promise<void> {
  try { book.value = await get<Book>("/logbook"); wrong.value = null; } catch (e) { wrong.value = asRefusal(e); }
}

export function Logbook() {
  const [kind, setKind] = useState("flight");
  const [text, setText] = useState("");
  useEffect(() => { void load(); }, []);
  const add = async (e: Event): Promise<void> => {
    e.preventDefault();
    const args = text.split("\n").map((l) => l.trim()).filter(Boolean);
    if (!args.length) return;
    try { await post(`/logbook/${kind}`, { args, ...(file.value && kind === "flight" ? { file: file.value } : {}) }); setText(""); say("Entered."); await load(); } catch (x) { wrong.value = asRefusal(x); }
  };
  return (
    <section class="detail" id="logbook" aria-labelledby="logbook-title">
      <h2 id="logbook-title">Logbook</h2>
      {wrong.value ? <RefusalStrip of={wrong.value} close={() => { wrong.value = null; }} /> : null}
      {book.value?.plain ? <pre class="wide logbook" tabIndex={0} aria-label="Logbook">{book.value.plain}</pre> : <p class="aside">Nothing is entered yet.</p>}
      <form class="entry" onSubmit={(e) => void add(e)}>
        <label>Enter a <select value={kind} onChange={(e) => setKind(e.currentTarget.value)}>{kinds.map((k) => <option value={k}>{k}</option>)}</select></label>
        <label>one thing a line, as in <i>outcome=flew</i> <textarea rows={4} value={text} spellcheck={false} onInput={(e) => setText(e.currentTarget.value)} /></label>
        <button type="submit" class="act">Enter it</button>
      </form>
    </section>
  );
}
