export function DebriefSheet() { return null; }
