// Pages of a PDF, shown as they will be printed: paper stays white.
import { useEffect, useState } from "preact/hooks";
import type { Picture } from "../wire/more";

export function Sheets({ of, name }: { of: Picture[]; name: string }) {
  const [at, set] = useState(0);
  const n = Math.min(at, of.length - 1), p = of[n];
  const [url, setUrl] = useState("");
  useEffect(() => {
    if (!p) return;
    const u = URL.createObjectURL(new Blob([p.svg], { type: "image/svg+xml" }));
    setUrl(u);
    return () => URL.revokeObjectURL(u);
  }, [p]);
  if (!p) return null;
  const title = `${name}: ${p.file}, page ${p.page}`;
  return (
    <figure class="plot printed">
      {of.length > 1 ? <p class="no-print printed-which"><button type="button" class="act" disabled={n === 0} onClick={() => set(n - 1)}>Before</button> <span aria-live="polite">{n + 1} of {of.length}: {p.file}, page {p.page}</span> <button type="button" class="act" disabled={n === of.length - 1} onClick={() => set(n + 1)}>Next</button></p> : null}
      <div class="printed-page" tabIndex={0} role="region" aria-label={title}>{url ? <img src={url} alt={`${title}, as it will be printed`} /> : null}</div>
      <figcaption>{p.file}, page {p.page}: as it will be printed</figcaption>
    </figure>
  );
}
