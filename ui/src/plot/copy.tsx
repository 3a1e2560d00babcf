// A drawing of the page taken away as SVG that stands by itself: the inks it
// has here written into it, its hatchings with it, on its own paper. Where the
// server draws the same chart, that one is given instead (bits/PageView).
import { copySvg } from "../bits/PageView";

const kept = ["fill", "stroke", "stroke-width", "stroke-dasharray", "stroke-linecap", "stroke-linejoin", "opacity", "fill-opacity", "font-size", "font-style", "font-weight", "paint-order"];
const plain: Record<string, string> = { fill: "rgb(0, 0, 0)", stroke: "none", "stroke-width": "1px", "stroke-dasharray": "none", "stroke-linecap": "butt", "stroke-linejoin": "miter", opacity: "1", "fill-opacity": "1", "paint-order": "normal" };

function inked(from: Element, to: Element): void {
  const s = getComputedStyle(from), text = from.tagName === "text" || from.tagName === "tspan";
  for (const k of kept) {
    const v = s.getPropertyValue(k).replace(/url\("?[^"#]*#([\w-]+)"?\)/g, "url(#$1)");
    if (k.startsWith("font") ? text : v && v !== plain[k]) to.setAttribute(k, v);
    else if (k in plain) to.removeAttribute(k);
  }
  if (text) to.setAttribute("font-family", "serif");
  for (const a of [...to.attributes]) if (/^(class|style|tabindex|role|data-|aria-(?!label$))/.test(a.name)) to.removeAttribute(a.name);
  const below = [...from.children], copies = [...to.children];
  below.forEach((e, i) => {
    const c = copies[i]!;
    if (/^(part-grip|glass)$/.test(e.getAttribute("class") ?? "") || e.tagName === "image" || getComputedStyle(e).display === "none") c.remove();
    else inked(e, c);
  });
}

/** The SVG as text of a file of its own. */
export function standalone(svg: SVGSVGElement, name: string): string {
  const copy = svg.cloneNode(true) as SVGSVGElement;
  inked(svg, copy);
  const w = svg.clientWidth || svg.getBoundingClientRect().width, h = svg.clientHeight || svg.getBoundingClientRect().height;
  copy.setAttribute("xmlns", "http://www.w3.org/2000/svg");
  if (!copy.getAttribute("viewBox")) copy.setAttribute("viewBox", `0 0 ${w} ${h}`);
  copy.setAttribute("width", String(Math.round(w)));
  copy.setAttribute("height", String(Math.round(h)));
  const box = copy.getAttribute("viewBox")!.split(/[\s,]+/);
  const text = copy.outerHTML, make = (tag: string): Element => document.createElementNS("http://www.w3.org/2000/svg", tag);
  const defs = make("defs");
  for (const d of document.querySelectorAll("pattern[id], marker[id]")) {
    if (!text.includes(`#${d.id})`)) continue;
    const c = d.cloneNode(true) as Element, id = d.id;
    inked(d, c);
    c.setAttribute("id", id);
    defs.append(c);
  }
  const paper = make("rect"), title = make("title");
  for (const [k, v] of Object.entries({ x: box[0]!, y: box[1]!, width: box[2]!, height: box[3]!, fill: getComputedStyle(document.documentElement).getPropertyValue("--paper").trim() })) paper.setAttribute(k, v);
  title.textContent = name;
  copy.prepend(title, defs, paper);
  return new XMLSerializer().serializeToString(copy);
}

/** Gives the drawing of the figure it stands in. */
export function CopyDrawn({ name, say = "Copy as SVG" }: { name: string; say?: string }) {
  return <button type="button" class="word-button no-print" onClick={(e) => {
    const svg = e.currentTarget.closest("figure, .board-drawing")?.querySelector<SVGSVGElement>("svg:not(.span-svg)");
    if (svg) void copySvg(standalone(svg, name), name);
  }}>{say}</button>;
}
