import { DiagnosticList } from "../bits/Refusal";
import { Lettered } from "../ink/Lettered";
import { build, loading, sheet } from "../state/shop";
import { BenchSheet } from "./bench/BenchSheet";
import { FieldSheet } from "./field/FieldSheet";
import { DebriefSheet } from "./debrief/DebriefSheet";
import { sheets } from "./registry";
import { othersOf, Plain } from "./Plain";
import { TextView } from "./TextView";
import { Reference } from "./Reference";
import { TodaySlip } from "../bits/TodaySlip";

const tops = { bench: BenchSheet, field: FieldSheet, debrief: DebriefSheet };

export function Sheet() {
  const s = sheets.find((o) => o.name === sheet.value)!;
  const b = build.value;
  const Top = tops[s.name], others = othersOf(s.name);
  if (!b) return loading.value ? <p class="aside" aria-busy="true">Putting it on the board...</p> : null;
  return (
    <>
      <div class="sheet-head">
        <h1><Lettered text={b.name || b.file} size={24} weight={1.25} /><span class="unseen">, {s.title}</span></h1>
        <p class="aside">{s.title}: {s.ask}</p>
      </div>
      {!b.ok ? <section class="strip strip-red" role="alert"><h2>The file says something that cannot be</h2><DiagnosticList of={b.diagnostics ?? []} /></section> : null}
      {b.ok ? <TodaySlip /> : null}
      {b.ok ? <Top /> : null}
      {b.ok ? <DetailIndex ids={[...s.details, ...others]} /> : null}
      {b.ok ? s.details.map((d) => <d.view key={d.id} />) : null}
      {b.ok ? others.map((o) => <Plain key={o.id} verb={o.id} />) : null}
      {s.name === "bench" || !b.ok ? <TextView open={!b.ok} /> : null}
      {s.name === "bench" && b.ok ? <Reference /> : null}
    </>
  );
}

function DetailIndex({ ids }: { ids: { id: string; title: string; question: number }[] }) {
  if (ids.length < 2) return null;
  return (
    <nav class="detail-index no-print" aria-label="Details of this sheet">
      {ids.map((d) => <a href={"#" + d.id} onClick={(e) => { e.preventDefault(); const el = document.getElementById(d.id); el?.scrollIntoView(); el?.querySelector("h2")?.setAttribute("tabindex", "-1"); el?.querySelector("h2")?.focus({ preventScroll: true }); }}>{d.question ? <span class="balloon balloon-small">{d.question}</span> : null}{d.title}</a>)}
    </nav>
  );
}
