import { render } from "preact";
import { App } from "./App";
import { keepGround } from "./ink/ground";
import "./ink/ink.css";
import "./ink/board.css";
import "./ink/sheets.css";

keepGround();
const place = document.getElementById("sheet");
if (place) render(<App />, place);

// Shell and last looks are kept for when the laptop's server is not up; on the
// local network there is no worker, for there the server is the laptop itself.
if (import.meta.env.PROD && "serviceWorker" in navigator && isSecureContext) {
  void navigator.serviceWorker.register("/worker.js").catch(() => undefined);
}
