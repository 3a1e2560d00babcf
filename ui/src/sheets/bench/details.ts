import type { DetailView } from "../registry";
import { Balance } from "./Balance";
import { Fit } from "./Fit";
import { Section } from "./Section";
import { Setup } from "./Setup";
import { Strength } from "./Strength";
import { Compare } from "./Compare";

export const benchDetails: DetailView[] = [
  { id: "fit", title: "Fit and wiring", question: 1, say: "do the parts fit, which wires to cut", view: Fit },
  { id: "balance", title: "Balance", question: 2, say: "where she balances, what moves it, weighing", view: Balance },
  { id: "setup", title: "Setting up", question: 3, say: "neutral, throws, linkages, pulses", view: Setup },
  { id: "strength", title: "Strength", question: 4, say: "loads against what holds them", view: Strength },
  { id: "compare", title: "Two side by side", question: 0, say: "another build beside this one", view: Compare },
  { id: "section", title: "Wing sections", question: 0, say: "lift and drag of a section", view: Section },
];
