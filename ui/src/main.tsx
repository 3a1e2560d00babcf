import { effect } from "@preact/signals";
import { render } from "preact";
import { App } from "./App";
import { keepGround } from "./ink/ground";
import { drawing, file, hangar } from "./state/shop";
import { looks } from "./wire/client";
import "./ink/ink.css";
import "./ink/board.css";
import "./ink/sheets.css";

keepGround();

// On paper a drawing may have to shrink: one without a view box would be cut.
const boxed: SVGSVGElement[] = [];
addEventListener("beforeprint", () => {
  for (const s of document.querySelectorAll<SVGSVGElement>("main svg[width][height]:not([viewBox])")) {
    const w = Number(s.getAttribute("width")), h = Number(s.getAttribute("height"));
    if (w > 0 && h > 0) { s.setAttribute("viewBox", `0 0 ${w} ${h}`); boxed.push(s); }
  }
});
addEventListener("afterprint", () => { for (const s of boxed.splice(0)) s.removeAttribute("viewBox"); });

const place = document.getElementById("sheet");
if (place) render(<App />, place);

// Shell and last looks are kept for when the laptop's server is not up; on the
// local network there is no worker, for there the server is the laptop itself.
// It begins once there is something to look at, and is given what came before it.
if (import.meta.env.PROD && "serviceWorker" in navigator && isSecureContext) {
  const anew = !navigator.serviceWorker.controller;
  const done = effect(() => {
    if (!drawing.value?.balance && !(file.value === null && hangar.value)) return;
    queueMicrotask(() => done());
    void navigator.serviceWorker.register("/worker.js").then(() => navigator.serviceWorker.ready).then((r) => {
      const assets = performance.getEntriesByType("resource").map((e) => e.name).filter((n) => new URL(n).pathname.startsWith("/assets/"));
      if (anew) r.active?.postMessage({ keep: ["/", ...assets, ...looks].map((u) => new URL(u, location.href).href) });
    }).catch(() => undefined);
  });
}
