// One file given to a verb: chosen or dropped, named, and taken away again.
import { signal } from "@preact/signals";
import { say } from "../state/shop";
import { asRefusal, post } from "../wire/client";

interface Given { id: string; name: string }
const given = signal<Record<string, Given>>({});

export function dropped(id: string): Given | null { return given.value[id] ?? null; }

export function Drop({ id, what, then }: { id: string; what: string; then?: (f: Given | null) => void }) {
  const f = given.value[id];
  const take = async (file: File | undefined): Promise<void> => {
    if (!file) return;
    try {
      const u = await post<Given>(`/uploads?name=${encodeURIComponent(file.name)}`, file);
      given.value = { ...given.value, [id]: { id: u.id, name: file.name } };
      then?.(u);
      say(`${file.name} is taken.`);
    } catch (e) { say(asRefusal(e).message); }
  };
  return f
    ? <span>with {f.name} <button type="button" class="word-button" onClick={() => { const { [id]: _, ...rest } = given.value; given.value = rest; then?.(null); }}>take away<span class="unseen"> {f.name}</span></button></span>
    : <label class="act" onDragOver={(e) => e.preventDefault()} onDrop={(e) => { e.preventDefault(); void take(e.dataTransfer?.files[0]); }}>{what}<input class="unseen" type="file" onChange={(e) => void take(e.currentTarget.files?.[0])} /></label>;
}
