import type { DetailView } from "../registry";

export const fieldDetails: DetailView[] = [];
