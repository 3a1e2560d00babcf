import { useEffect } from "preact/hooks";
import { TermSlip } from "./bits/Term";
import { RefusalStrip } from "./bits/Refusal";
import { Disk, Merge } from "./bits/Disk";
import { Cover } from "./sheets/Cover";
import { Pairing } from "./sheets/Pairing";
import { Sheet } from "./sheets/Sheet";
import { InkDefs } from "./ink/marks";
import { askAhead, connected, file, follow, hangar, hello, keptSince, loadHangar, loadHello, loadTerms, refused, said, step } from "./state/shop";
import { asRefusal, unasked } from "./wire/client";
import { deafen, listen } from "./wire/events";
import { Shown, TitleBlock } from "./sheets/TitleBlock";

async function start(): Promise<void> {
  try {
    askAhead();
    await loadHello();
    if (hello.value && !hello.value.paired) { unasked(); return; }
    // What is on the board first; the folder and the terms can wait.
    const first = follow();
    listen();
    await first;
    if (!hangar.value) await loadHangar();
    void loadTerms();
  } catch (e) {
    refused.value = asRefusal(e);
  }
}

export function App() {
  useEffect(() => {
    void start();
    const keys = (e: KeyboardEvent): void => {
      const inField = e.target instanceof HTMLInputElement || e.target instanceof HTMLTextAreaElement || e.target instanceof HTMLSelectElement;
      if (!(e.ctrlKey || e.metaKey) || inField) return;
      const k = e.key.toLowerCase();
      if (k === "z" && !e.shiftKey) { e.preventDefault(); void step("undo"); }
      if (k === "y" || (k === "z" && e.shiftKey)) { e.preventDefault(); void step("redo"); }
    };
    // The key of this device has run out: back to the code.
    const unpaired = (): void => { deafen(); void loadHello().then(() => { refused.value = null; }).catch(() => undefined); };
    addEventListener("fledge-unpaired", unpaired);
    addEventListener("hashchange", follow);
    addEventListener("keydown", keys);
    addEventListener("pagehide", deafen);
    addEventListener("pageshow", (e) => { if (e.persisted) listen(); });
    return () => { removeEventListener("fledge-unpaired", unpaired); removeEventListener("hashchange", follow); removeEventListener("keydown", keys); };
  }, []);
  const h = hello.value;
  const paired = h?.paired !== false;
  return (
    <>
      <InkDefs />
      <a class="skip" href="#main" onClick={(e) => { e.preventDefault(); document.getElementById("main")?.focus(); }}>To the drawing</a>
      <div class="sheet">
        <header class="unseen">Fledge workshop</header>
        <main id="main" tabIndex={-1}>
          {!connected.value && h && paired ? <p class="strip" role="status">Not connected to the workshop{keptSince.value ? `: what is shown was kept at ${keptSince.value.toLocaleTimeString()}` : ""}. Looking is possible, computing and writing are not.</p>
            : keptSince.value ? <p class="strip" role="status">Not connected: as of {keptSince.value.toLocaleString()}.</p> : null}
          {refused.value ? <RefusalStrip of={refused.value} again={h ? undefined : () => { refused.value = null; void start(); }} {...(h ? { close: () => { refused.value = null; } } : {})} /> : null}
          <Disk />
          <Merge />
          {!paired ? <Pairing then={start} /> : !h ? (refused.value ? null : <p class="aside" aria-busy="true">Opening the workshop...</p>) : file.value ? <Sheet /> : <Cover />}
        </main>
        <footer class="foot">
          <div class="foot-left">
            <div class="said" role="status" aria-live="polite">{said.value}</div>
            {paired && h ? <Shown /> : null}
          </div>
          {paired && h ? <TitleBlock /> : null}
        </footer>
      </div>
      <TermSlip />
    </>
  );
}
