import type { DetailView } from "../registry";
import { Fly } from "./Fly";
import { Land } from "./Land";
import { Launch } from "./Launch";
import { Radio } from "./Radio";
import { Card } from "./Card";
import { Sortie } from "./Sortie";
import { Trial } from "./Trial";

export const fieldDetails: DetailView[] = [
  { id: "launch", title: "Will it launch?", question: 5, say: "odds, best settings, odds map", view: Launch },
  { id: "fly", title: "How fast, how long, how far?", question: 6, say: "speeds, thrust and drag, load factors", view: Fly },
  { id: "radio", title: "Radio and video", question: 6, say: "margin along the circuit", view: Radio },
  { id: "land", title: "Will it come home?", question: 7, say: "approach, touchdown, ways to slow down", view: Land },
  { id: "trial", title: "A speed trial", question: 6, say: "the course, the run-in, where to stand", view: Trial },
  { id: "sortie", title: "The whole sortie", question: 7, say: "chance that she comes home whole", view: Sortie },
  { id: "card", title: "The flight card", question: 0, say: "one page for the field", view: Card },
];
