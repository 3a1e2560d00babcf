import type { Refusal } from "../wire/client";
import type { Diagnostic } from "../wire/types";

export function DiagnosticList({ of }: { of: Diagnostic[] }) {
  return (
    <ul class="diagnostics">
      {of.map((d) => (
        <li>
          <b>{d.severity === "error" ? "Wrong" : d.severity === "warning" ? "Beware" : "Note"}{d.line ? `, line ${d.line}` : ""}:</b> {d.message}
          {d.hint ? <> <i>{d.hint}</i></> : null}
          {d.excerpt ? <pre tabIndex={0} aria-label="Where it stands in the file">{d.excerpt}</pre> : null}
        </li>
      ))}
    </ul>
  );
}

export function RefusalStrip({ of, again, close }: { of: Refusal; again?: (() => void) | undefined; close?: () => void }) {
  const list = of.body.diagnostics ?? [];
  return (
    <div class="strip strip-red" role="alert">
      {list.length === 0 || list[0]?.message !== of.body.message ? <p><b>{of.body.message}</b>{of.body.hint ? ` ${of.body.hint}` : ""}</p> : null}
      {list.length ? <DiagnosticList of={list} /> : null}
      {again ? <button type="button" class="act" onClick={again}>Try again</button> : null}
      {close ? <button type="button" class="act" onClick={close}>Close</button> : null}
    </div>
  );
}
