// The aeroplane, plan and side view, to scale. Parts are moved on it.
import type { ComponentChildren } from "preact";
import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import { moving } from "../state/shop";
import { sayLength, sayQuantity } from "../state/say";
import type { Balance, DrawnPart, Drawing as D, Hook, Place } from "../wire/types";
import { held, keys, pointer, type Movable } from "./drag";
import { photos, roomOf } from "./photo";
import { closer } from "./Underlay";
import { barLength, boxIn, frameOf, inRows, outline, overrun, planY, px, sideY, type Frame } from "./frame";

/** The width of an element, followed. */
export function useWidth<E extends Element>(): [preact.RefObject<E | null>, number] {
  const ref = useRef<E>(null);
  const [w, set] = useState(0);
  useEffect(() => {
    if (!ref.current) return;
    const look = (): void => { if (ref.current) set(Math.floor(ref.current.getBoundingClientRect().width)); };
    const o = new ResizeObserver(look);
    o.observe(ref.current);
    look();
    return () => o.disconnect();
  }, []);
  return [ref, w];
}

const hatchOf = (kind: string): string => (kind === "battery" ? "url(#hatch-cross)" : kind === "motor" ? "url(#hatch-dots)" : kind.includes("servo") ? "url(#hatch)" : "none");
const outlineOnly = new Set(["structure", "wiring"]);

interface Props {
  drawing: D; tall?: number; onPart?: (p: DrawnPart) => void; onPath?: (path: string) => void;
  children?: (f: Frame) => ComponentChildren; under?: (f: Frame) => ComponentChildren; still?: boolean; numbers?: Map<string, number>;
}

export function Drawing({ drawing: d, tall = 900, onPart, onPath, children, under, still = false, numbers }: Props) {
  const [ref, width] = useWidth<HTMLDivElement>();
  const near = still ? 1 : closer.value;
  const f = width > 0 ? frameOf(d, width * near, near * (width < 500 ? width * 1.45 : Math.min(tall, Math.max(420, innerHeight - 370))), width < 500 ? 58 : 64, still ? null : roomOf(photos.value)) : null;
  // Looked at from closer: the middle stays in the middle.
  const was = useRef(near);
  useLayoutEffect(() => {
    const el = ref.current as HTMLElement | null;
    if (!el || was.current === near) return;
    const k = near / was.current;
    was.current = near;
    el.scrollTo((el.scrollLeft + el.clientWidth / 2) * k - el.clientWidth / 2, (el.scrollTop + el.clientHeight / 2) * k - el.clientHeight / 2);
  }, [near]);
  return (
    <div class={near > 1 ? "drawing drawing-close" : "drawing"} ref={ref} {...(near > 1 ? { tabIndex: 0, role: "region", "aria-label": "The drawing, closer; scrolls" } : {})}>
      {f ? (
        <svg width={f.width} height={f.height} viewBox={`0 0 ${f.width} ${f.height}`} role="group"
          aria-label={`Plan and side view of ${d.file}, nose to the left, drawn to scale`}>
          {under?.(f)}
          <Balances d={d} f={f} />
          <Plan d={d} f={f} {...(onPath ? { onPath } : {})} />
          <SideView d={d} f={f} />
          {d.hook ? <HookSign d={d} h={d.hook} f={f} still={still} /> : null}
          <Parts d={d} f={f} still={still} {...(onPart ? { onPart } : {})} {...(numbers ? { numbers } : {})} />
          <Sizes d={d} f={f} />
          {children?.(f)}
        </svg>
      ) : <div class="drawing-blank" />}
    </div>
  );
}

function Plan({ d, f, onPath }: { d: D; f: Frame; onPath?: (path: string) => void }) {
  const fx = (x: number): number => px(f, x), fy = (y: number): number => planY(f, y);
  const mid = f.planZero;
  const p = d.propeller;
  return (
    <g class="plan">
      <path class="centre-line" d={`M${fx(d.box.min[0]) - 14} ${mid}H${fx(d.box.max[0]) + 14}`} />
      {d.body ? <path class="ink2 body-shape" d={outline(d.body.plan, fx, fy)} /> : null}
      {d.surfaces.map((s) => (
        <g>
          {s.sides.map((k) => <path class="ink3" d={outline(k.plan, fx, fy)} onClick={onPath ? () => onPath(s.path) : undefined} />)}
          {s.controls.map((c) => c.sides.map((k) => (
            <path class="ink2 control" fill="url(#hatch)" d={outline(k.plan, fx, fy)} onClick={onPath ? () => onPath(c.path) : undefined}><title>{c.name}</title></path>
          )))}
        </g>
      ))}
      {p ? <path class="ink1" d={`M${fx(p.at[0])} ${fy(p.at[1] + p.diameter / 2)}V${fy(p.at[1] - p.diameter / 2)}`} stroke-dasharray="9 3 2 3" /> : null}
    </g>
  );
}

function SideView({ d, f }: { d: D; f: Frame }) {
  const fx = (x: number): number => px(f, x), fz = (z: number): number => sideY(f, z);
  const p = d.propeller;
  return (
    <g class="side">
      {d.body ? <path class="ink3 body-shape" d={outline(d.body.side, fx, fz)} /> : null}
      {d.surfaces.map((s) => (
        <g>
          {s.sides.slice(0, 1).map((k) => <path class="ink2" d={outline(k.side, fx, fz)} />)}
          {s.controls.map((c) => c.sides.slice(0, 1).map((k) => <path class="ink1" fill="url(#hatch)" d={outline(k.side, fx, fz)} />))}
        </g>
      ))}
      {(d.extras ?? []).map((e) => { const b = boxIn(f, "side", e.at, e.size.map((v) => Math.max(v, 0.002)) as Place); return <rect class="ink1" x={b.x} y={b.y} width={b.w} height={b.h}><title>{e.name}</title></rect>; })}
      {p ? <path class="ink1" d={`M${fx(p.at[0])} ${fz(p.at[2] + p.diameter / 2)}V${fz(p.at[2] - p.diameter / 2)}`} stroke-dasharray="9 3 2 3" /> : null}
    </g>
  );
}

/** The launch hook, to be moved along the keel where it may. */
function HookSign({ d, h, f, still }: { d: D; h: Hook; f: Frame; still: boolean }) {
  const moves = h.moves ?? [], can = moves.length > 0 && !still;
  const m: Movable = { name: "launch hook", at: h.at, mass: 0, moves };
  const at = held.value?.name === m.name ? held.value.at : h.at;
  const x = px(f, at[0]), y = sideY(f, at[2]), rake = (h.rake_deg * Math.PI) / 180, k = Math.max(9, 0.012 * f.scale);
  const shape = <><path class="ink3 hook-shape" d={`M${x} ${y - k}V${y}L${x + k * Math.cos(rake)} ${y + k * Math.sin(rake)}`} /><rect class="part-grip" x={x - 9} y={y - k - 6} width={k + 18} height={k + 16} /></>;
  const mx = moves.find((q) => q.axis === "x") ?? moves[0];
  if (!can || !mx) return <g role="img" aria-label={`launch hook at ${sayLength(h.at[0])}`} data-hook={d.file}>{shape}</g>;
  const axis = ({ x: 0, y: 1, z: 2 } as const)[mx.axis];
  return (
    <g class={`part part-can${held.value?.name === m.name ? " part-held" : ""}`} {...pointer(m, "side", f.scale)} {...keys(m)} tabindex={0} role="slider" data-part="launch hook" aria-label="launch hook, to be moved" aria-orientation="horizontal"
      aria-valuemin={Math.round(mx.low * 1000)} aria-valuemax={Math.round(mx.high * 1000)} aria-valuenow={Math.round(at[axis] * 1000)} aria-valuetext={`${sayLength(at[axis])}; may move from ${sayLength(mx.low)} to ${sayLength(mx.high)}`}>{shape}</g>
  );
}

/** The balance as it is or, while a part is held, as it would be. */
export function balanceNow(d: D): Balance | null {
  const m = moving.value?.balance;
  const h = held.value;
  if (!h) return m ?? d.balance;
  // Until the server has answered, the moment of the part's shift is exact for
  // the balance point; neutral point and band stay.
  const b = m ?? d.balance;
  if (m || !b || b.mass.value === null || b.cg_x.value === null) return b;
  const part = d.parts.filter((p) => p.name === h.name);
  const shift = part.reduce((sum, p) => sum + p.mass * (h.at[0] - h.from[0]), 0) / b.mass.value;
  const move = (v: number | null): number | null => (v === null ? null : v + shift);
  return { ...b, cg: [b.cg[0] + shift, b.cg[1], b.cg[2]], cg_x: { ...b.cg_x, value: move(b.cg_x.value), low: move(b.cg_x.low), high: move(b.cg_x.high) } };
}

function Balances({ d, f }: { d: D; f: Frame }) {
  const b = balanceNow(d);
  if (!b) return <text class="label label-quiet" x={6} y={14} font-size="12">balance: being worked out</text>;
  const top = 12, bottom = f.side.bottom + 4;
  const cg = px(f, b.cg[0]);
  const np = b.neutral_point_x.value === null ? null : px(f, b.neutral_point_x.value);
  const band = b.band ? { low: px(f, b.band.low), high: px(f, b.band.high) } : null;
  const outside = b.band ? b.cg[0] < b.band.low || b.cg[0] > b.band.high : false;
  const text = f.width < 500 ? 11 : 12.5;
  const rows: { x: number; text: string; cls: string; y: number }[] = [];
  if (band && b.band) rows.push({ x: (band.low + band.high) / 2, text: `may balance ${sayLength(b.band.low).replace(/\s\D+$/, "")} to ${sayLength(b.band.high)}`, cls: "label-band", y: 0 });
  rows.push({ x: cg, text: `balances ${sayLength(b.cg[0])}`, cls: outside ? "label-red" : "label-strong", y: 0 });
  if (np !== null && b.neutral_point_x.value !== null) rows.push({ x: np, text: `neutral point ${sayLength(b.neutral_point_x.value)}`, cls: "", y: 0 });
  rows.forEach((r, i) => { r.y = 14 + i * (text + 4); });
  return (
    <g class="balance" data-status={b.status}>
      {band ? (
        <g>
          <rect x={band.low} y={rows[0]!.y + 4} width={Math.max(0, band.high - band.low)} height={bottom - rows[0]!.y - 4} fill="url(#hatch)" class="band" />
          <path class="band-edge" d={`M${band.low} ${rows[0]!.y + 4}V${bottom}M${band.high} ${rows[0]!.y + 4}V${bottom}`} />
        </g>
      ) : null}
      {np !== null ? <path class="np-line" d={`M${np} ${rows[rows.length - 1]!.y + 4}V${bottom}`} /> : null}
      <path class={outside ? "cg-line cg-out" : "cg-line"} d={`M${cg} ${top + (band ? text + 8 : 0) + 8}V${bottom}`} />
      {np !== null ? <path class="ink2 np-sign" d={`M${np - 7} ${f.planZero + 7}L${np} ${f.planZero - 6}L${np + 7} ${f.planZero + 7}Z`} /> : null}
      <Quartered x={cg} y={f.planZero} red={outside} />
      <Quartered x={cg} y={sideY(f, b.cg[2])} red={outside} />
      {rows.map((r) => {
        const right = r.x > f.width * 0.55;
        return <text class={`label ${r.cls}`} x={right ? r.x - 6 : r.x + 6} y={r.y} text-anchor={right ? "end" : "start"} font-size={text}>{r.text}</text>;
      })}
    </g>
  );
}

/** The sign of a balance point. */
function Quartered({ x, y, red }: { x: number; y: number; red: boolean }) {
  const r = 8;
  return (
    <g class={red ? "cg-sign cg-out" : "cg-sign"} transform={`translate(${x} ${y})`}>
      <circle r={r} class="cg-ground" />
      <path d={`M0 0V${-r}A${r} ${r} 0 0 1 ${r} 0ZM0 0V${r}A${r} ${r} 0 0 1 ${-r} 0Z`} class="cg-black" />
      <circle r={r} class="cg-ring" />
    </g>
  );
}

function Parts({ d, f, onPart, still, numbers }: { d: D; f: Frame; onPart?: (p: DrawnPart) => void; still: boolean; numbers?: Map<string, number> }) {
  const h = held.value;
  const ats = moving.value?.ats;
  const boxes = d.parts.filter((p) => !outlineOnly.has(p.kind));
  const where = (p: DrawnPart): Place => {
    if (h?.name === p.name) return [h.at[0], p.twin ? -h.at[1] : h.at[1], h.at[2]];
    return ats?.get(p.name + (p.twin ? "\u0000" : "")) ?? p.at;
  };
  const size = f.width < 500 ? 10.5 : 12;
  const once = boxes.filter((p) => !p.twin);
  const words = once.map((p) => {
    const n = numbers?.get(p.path);
    return f.width < 620 && n !== undefined ? `${n}` : n !== undefined ? `${n} ${p.name}` : p.name;
  });
  const spots = inRows(once.map((p, i) => ({ at: px(f, where(p)[0]), width: words[i]!.length * size * 0.53 })), 4, f.width - 4, 4);
  return (
    <g class="parts">
      {boxes.map((p) => {
        const can = p.movable && (p.moves?.length ?? 0) > 0 && !still;
        const at = where(p);
        const m: Movable = { name: p.name, at: p.at, mass: p.mass, moves: p.moves ?? [] };
        const cls = `part${can ? " part-can" : ""}${h?.name === p.name ? " part-held" : ""}`;
        const drawn = (view: "plan" | "side") => {
          const b = boxIn(f, view, at, p.size);
          const grip = { x: b.x - 6, y: b.y - 6, w: b.w + 12, h: b.h + 12 };
          return (
            <>
              <rect class="part-fill" x={b.x} y={b.y} width={b.w} height={b.h} fill={hatchOf(p.kind)} />
              <path class="part-line" d={overrun(b, can ? 4 : 2)} stroke-dasharray={p.size_known ? undefined : "3 2"} />
              <rect class="part-grip" x={grip.x} y={grip.y} width={grip.w} height={grip.h} />
            </>
          );
        };
        const track = can && p.moves ? p.moves.filter((k) => k.axis === "x").map((k) => {
          const y = sideY(f, p.at[2]);
          const half = (p.size[0] / 2) * f.scale;
          return <path class="track" d={`M${px(f, k.low) - half} ${y - 6}V${y + 6}M${px(f, k.low) - half} ${y}H${px(f, k.high) + half}M${px(f, k.high) + half} ${y - 6}V${y + 6}`} />;
        }) : null;
        const mx = p.moves?.find((k) => k.axis === "x") ?? p.moves?.[0];
        const axis = mx ? ({ x: 0, y: 1, z: 2 } as const)[mx.axis] : 0;
        const press = { onClick: () => { if (!can) onPart?.(p); }, onDblClick: () => onPart?.(p) };
        const byKey = (e: KeyboardEvent): void => { if (e.key === "Enter" || e.key === " ") { e.preventDefault(); onPart?.(p); } };
        return (
          <g key={p.path + p.twin}>
            <g class={cls} {...press} {...(can ? pointer(m, "plan", f.scale) : {})} aria-hidden="true">{drawn("plan")}</g>
            {p.twin ? null : can && mx ? (
              <g class={cls} {...press} {...pointer(m, "side", f.scale)} {...keys(m)} tabindex={0} role="slider" data-part={p.name}
                aria-label={`${p.name}, to be moved`} aria-orientation="horizontal" aria-valuemin={Math.round(mx.low * 1000)} aria-valuemax={Math.round(mx.high * 1000)}
                aria-valuenow={Math.round(at[axis] * 1000)} aria-valuetext={`${sayLength(at[axis])}; may move from ${sayLength(mx.low)} to ${sayLength(mx.high)}`}>
                {track}{drawn("side")}
              </g>
            ) : (
              <g class={cls} {...press} tabindex={onPart ? 0 : -1} role={onPart ? "button" : "img"} onKeyDown={byKey} data-part={still ? undefined : p.name}
                aria-label={`${p.name}, ${sayQuantity({ value: p.mass, unit: "kg" }).full}, at ${sayLength(at[0])}`}>{drawn("side")}</g>
            )}
          </g>
        );
      })}
      {once.map((p, i) => {
        const s = spots[i]!, at = where(p), b = boxIn(f, "side", at, p.size);
        const y = f.side.bottom + 26 + s.row * (size + 5);
        const w = words[i]!.length * size * 0.53;
        const x = px(f, at[0]);
        return (
          <g class={`part-name${p.movable && !still ? " part-name-can" : ""}`} aria-hidden="true" onClick={() => onPart?.(p)}>
            <path class="leader" d={`M${x} ${Math.min(b.y + b.h, f.side.bottom + 12)}L${s.x + w / 2} ${y - size}`} />
            <text class="label" x={s.x} y={y} font-size={size}>{words[i]}</text>
          </g>
        );
      })}
    </g>
  );
}

function Sizes({ d, f }: { d: D; f: Frame }) {
  const bar = barLength(f), by = f.height - 5, bx = 8;
  const half = d.span / 2;
  const x = px(f, d.box.max[0]) + (f.width < 500 ? 7 : 26);
  return (
    <g class="sizes">
      <path class="dimension" marker-start="url(#arrow)" marker-end="url(#arrow)" d={`M${x} ${planY(f, half)}V${planY(f, -half)}`} />
      <text class="label label-size" transform={`translate(${x - 4} ${f.planZero - f.plan.bottom * 0 - (half * f.scale) / 2}) rotate(-90)`} text-anchor="middle" font-size={f.width < 500 ? 10.5 : 12}>span {sayLength(d.span)}</text>
      <path class="ink2" d={`M${bx} ${by - 5}V${by}H${bx + bar * f.scale}V${by - 5}M${bx + (bar * f.scale) / 2} ${by - 3}V${by}`} />
      <text class="label label-size" x={bx + bar * f.scale + 7} y={by} font-size={11}>{sayLength(bar)}</text>
    </g>
  );
}
