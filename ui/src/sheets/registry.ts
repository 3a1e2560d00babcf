// The drawing set. A sheet lists its details; a detail is a numbered part of
// the sheet with its own view. To add one: write the view, add a row.
import type { ComponentType } from "preact";
import type { SheetName } from "../state/route";
import { benchDetails } from "./bench/details";
import { debriefDetails } from "./debrief/details";
import { fieldDetails } from "./field/details";

export interface DetailView { id: string; title: string; question: number; say: string; view: ComponentType }
export interface SheetView { name: SheetName; number: number; title: string; ask: string; details: DetailView[] }

export const sheets: SheetView[] = [
  { name: "bench", number: 1, title: "Bench", ask: "fit, balance, setting up, strength", details: benchDetails },
  { name: "field", number: 2, title: "Field", ask: "launch, flight, landing", details: fieldDetails },
  { name: "debrief", number: 3, title: "Debrief", ask: "what happened, what we know", details: debriefDetails },
];
