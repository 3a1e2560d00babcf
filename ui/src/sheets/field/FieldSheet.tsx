export function FieldSheet() { return null; }
