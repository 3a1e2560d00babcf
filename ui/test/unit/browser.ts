// The few things of a browser that modules touch when they are loaded.
const kept = new Map<string, string>();
const store = { getItem: (k: string) => kept.get(k) ?? null, setItem: (k: string, v: string) => void kept.set(k, v), removeItem: (k: string) => void kept.delete(k) };
Object.assign(globalThis, { localStorage: store, sessionStorage: store, location: { hash: "" } });
