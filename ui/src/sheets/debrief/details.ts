import type { DetailView } from "../registry";

export const debriefDetails: DetailView[] = [];
