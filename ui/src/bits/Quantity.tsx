import { sayQuantity } from "../state/say";
import type { Quantity as Q } from "../wire/types";

interface Props { q: Q | null | undefined; share?: boolean }

/** The 90 % interval alone, in brackets, behind a number that stands as it is to be set; nothing where there is none. */
export function Within({ q, share = false }: Props) {
  const interval = q ? sayQuantity(q, share).interval : "";
  return interval ? <span class="interval" title="90 % interval of what is not known">({interval})</span> : null;
}

/** A number with its unit and the 90 % interval of what is not known. */
export function Quantity({ q, share = false }: Props) {
  if (!q) return <span class="aside">not known</span>;
  const s = sayQuantity(q, share);
  if (!s.interval) return <span class="quantity">{s.full}</span>;
  return <span class="quantity">{s.value}{s.unit && s.unit !== "°" ? "\u00a0" : ""}{s.unit} <Within q={q} share={share} /></span>;
}
