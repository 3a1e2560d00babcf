// Two builds laid over each other on one datum, at one scale: this one in ink,
// the other dashed.
import { CopyDrawn } from "../../plot/copy";
import { useEffect, useState } from "preact/hooks";
import { outline } from "../../draft/frame";
import { useWidth } from "../../draft/Drawing";
import { drawing, units } from "../../state/shop";
import { sayLength, sayQuantity } from "../../state/say";
import { at, get } from "../../wire/client";
import type { Balance, Drawing } from "../../wire/types";

export function Overlay({ other }: { other: string }) {
  const [o, set] = useState<Drawing | null>(null);
  const d = drawing.value;
  useEffect(() => {
    let here = true;
    set(null);
    get<Drawing>(at(other, `/drawing?units=${units.value}`)).then((x) => { if (here) set(x); }, () => undefined);
    return () => { here = false; };
  }, [other, units.value]);
  const [ref, w] = useWidth<HTMLDivElement>();
  if (!d) return null;
  return (
    <figure class="plot overlay"><div ref={ref}>{w > 0 && known(d) && known(o) ? <Both a={d} b={o} w={w} /> : <div class="plot-blank" />}</div>
      <figcaption>Both on one datum, seen from above and from the side: {d.name} in ink, {o?.name ?? other} dashed; the balance points as strokes below <CopyDrawn name="overlay" /></figcaption></figure>
  );
}

type Known = Drawing & { balance: Balance };
const known = (d: Drawing | null): d is Known => !!d?.balance;

function Both({ a, b, w }: { a: Known; b: Known; w: number }) {
  const x0 = Math.min(a.box.min[0], b.box.min[0]) - 0.02, x1 = Math.max(a.box.max[0], b.box.max[0]) + 0.02;
  const y1 = Math.max(...[a, b].flatMap((d) => [d.box.max[1], -d.box.min[1]])) + 0.01, z0 = Math.min(a.box.min[2], b.box.min[2]) - 0.01, z1 = Math.max(a.box.max[2], b.box.max[2]) + 0.01;
  const k = Math.min((w - 8) / (x1 - x0), 430 / (2 * y1)), left = (w - (x1 - x0) * k) / 2;
  const side = 2 * y1 * k + 18, h = side + (z1 - z0) * k + 54;
  const fx = (x: number): number => left + (x - x0) * k, fy = (y: number): number => (y1 - y) * k + 4, fz = (z: number): number => side + (z1 - z) * k;
  const path = (d: Drawing): string => d.surfaces.flatMap((s) => [...s.sides, ...s.controls.flatMap((c) => c.sides)]).map((s) => outline(s.plan, fx, fy) + outline(s.side, fx, fz)).join("") + (d.body ? outline(d.body.plan, fx, fy) + outline(d.body.side, fx, fz) : "");
  const cg = (d: Known): number => fx(d.balance.cg[0]);
  const foot = side + (z1 - z0) * k, close = Math.abs(cg(a) - cg(b)) < 4;
  const label = (d: Known): string => `${d.name}: span ${sayLength(d.span)}, balances at ${sayQuantity(d.balance.cg_x).full}`;
  return (
    <svg width={w} height={h} role="img" aria-label={`${label(a)}; ${label(b)}`}>
      <path class="centre-line" d={`M${fx(x0)} ${fy(0)}H${fx(x1)}`} />
      <path class="overlay-other" d={path(b)} /><path class="ink2" d={path(a)} />
      <path class="cg-line" d={`M${cg(a)} 4V${foot + 10}`} /><path class="overlay-other" d={`M${cg(b)} 4V${foot + 10}`} />
      {[a, b].map((d, i) => { const x = cg(d), right = cg(a) <= cg(b) ? i === 1 : i === 0; return <text class={i ? "label" : "label label-strong"} x={close ? x : x + (right ? 5 : -5)} y={foot + 25 + i * 15} text-anchor={close ? "middle" : right ? (x > w - 150 ? "end" : "start") : (x < 150 ? "start" : "end")} font-size="12">{d.name} {sayLength(d.balance.cg[0])}</text>; })}
    </svg>
  );
}
