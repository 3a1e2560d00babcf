import { sayQuantity } from "../state/say";
import type { Quantity as Q } from "../wire/types";

/** A number with its unit and the 90 % interval of what is not known. */
export function Quantity({ q, share = false }: { q: Q | null | undefined; share?: boolean }) {
  if (!q) return <span class="aside">not known</span>;
  const s = sayQuantity(q, share);
  if (!s.interval) return <span class="quantity">{s.full}</span>;
  return (
    <span class="quantity" title="90 % interval of what is not known in brackets">
      {s.value}{s.unit && s.unit !== "°" ? "\u00a0" : ""}{s.unit} <span class="interval">({s.interval})</span>
    </span>
  );
}
