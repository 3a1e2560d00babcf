import type { DetailView } from "../registry";
import { Claims } from "./Claims";
import { Learn } from "./Learn";
import { Logbook } from "./Logbook";
import { Repair } from "./Repair";
import { Score } from "./Score";

export const debriefDetails: DetailView[] = [
  { id: "claims", title: "Claims", question: 8, say: "claimed against measured", view: Claims },
  { id: "learn", title: "What do we know now?", question: 9, say: "learned factors, before and after", view: Learn },
  { id: "repair", title: "Repair", question: 9, say: "mend it on paper first", view: Repair },
  { id: "score", title: "Our forecasts, scored", question: 9, say: "forecasts against outcomes", view: Score },
  { id: "logbook", title: "Logbook", question: 0, say: "flights, repairs, packs", view: Logbook },
];
