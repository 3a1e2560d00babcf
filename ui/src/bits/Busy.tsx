import type { Signal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { cancel, stale, type Work } from "../state/work";
import { RefusalStrip } from "./Refusal";

/** Shows how far long work is, lets it be stopped, and says what went wrong. */
export function Busy({ of, name, withTrying = false, again }: { of: Signal<Work<any>>; name: string; withTrying?: boolean; again?: () => void }) {
  const w = of.value;
  const key = w.key.split("\u0000").slice(1).join("\u0000");
  if (w.state === "running" || w.state === "waiting") {
    const share = w.total > 0 ? Math.min(1, w.done / w.total) : 0;
    return (
      <div class="busy no-print" aria-live="off">
        <button type="button" class="word-button busy-stop" onClick={() => void cancel(key)}>Stop</button>
        <span class="busy-name">{name}: {w.state === "waiting" ? "waiting for its turn" : w.stage || "at work"}</span>
        <div class="busy-bar" role="progressbar" aria-label={`${name}: progress`} aria-valuemin={0} aria-valuemax={100} aria-valuenow={Math.round(100 * share)}>
          <div style={{ width: `${Math.max(2, 100 * share)}%` }} />
        </div>
        <span class="aside busy-far">{w.total > 0 ? `${w.done} of ${w.total}` : ""}{w.answer?.rough ? " \u00b7 a first rough answer is shown" : ""}</span>
      </div>
    );
  }
  if (w.state === "failed" && w.refusal) return <RefusalStrip of={w.refusal} again={again} />;
  if (w.state === "cancelled") return <p class="aside">Stopped. {again ? <button type="button" class="word-button" onClick={again}>Work it out</button> : null}</p>;
  if (w.state === "done" && stale(w, withTrying)) return <p class="aside">As it was before the last change. {again ? <button type="button" class="word-button" onClick={again}>Work it out anew</button> : null}</p>;
  return null;
}

/** What stands where nothing has been worked out yet. */
export function Empty({ children }: { children: ComponentChildren }) {
  return <div class="empty"><svg class="empty-lines" aria-hidden="true" focusable="false"><rect width="100%" height="100%" fill="url(#hatch-wide)" /></svg><div>{children}</div></div>;
}
