// The address: #/ is the hangar, #/tern.yaml/bench a sheet, a third part a
// place on it.
export const sheetNames = ["bench", "field", "debrief"] as const;
export type SheetName = (typeof sheetNames)[number];

export function sheetOf(hash: string): { file: string | null; sheet: SheetName; place: string | null } {
  const [, file, sheet, place] = hash.replace(/^#/, "").split("/").map((s) => {
    try { return decodeURIComponent(s); } catch { return s; }
  });
  return {
    file: file ? file : null,
    sheet: sheetNames.find((n) => n === sheet) ?? "bench",
    place: place || null,
  };
}

export function addressOf(file: string | null, sheet: SheetName = "bench", place?: string): string {
  if (!file) return "#/";
  return `#/${encodeURIComponent(file)}/${sheet}${place ? "/" + encodeURIComponent(place) : ""}`;
}
