// One door to the server: JSON in, JSON out, refusals as Refusal.
import type { RefusalBody } from "./types";

export class Refusal extends Error {
  constructor(readonly status: number, readonly body: RefusalBody) {
    super(body.message);
  }
  get code(): string { return this.body.code; }
}

/** Names this tab in the events it causes. */
export const tab = Math.random().toString(36).slice(2, 10);

/** When the worker answered from what it kept: the time it was kept. */
export type Kept = { at: Date | null };

async function refusal(r: Response): Promise<Refusal> {
  const text = await r.text();
  try {
    return new Refusal(r.status, JSON.parse(text) as RefusalBody);
  } catch {
    return new Refusal(r.status, { schema: 1, code: "fault", message: text.trim() || `The server answered ${r.status}.` });
  }
}

async function send(method: string, path: string, body?: unknown, signal?: AbortSignal): Promise<Response> {
  const headers: Record<string, string> = { "Fledge-Tab": tab };
  const init: RequestInit = { method, headers, credentials: "same-origin" };
  if (signal) init.signal = signal;
  if (body instanceof Blob) {
    headers["Content-Type"] = "application/octet-stream";
    init.body = body;
  } else if (body !== undefined) {
    headers["Content-Type"] = "application/json";
    init.body = JSON.stringify(body);
  }
  let r: Response;
  try {
    r = await fetch("/api" + path, init);
  } catch (e) {
    if (signal?.aborted) throw e;
    throw new Refusal(0, { schema: 1, code: "no-server", message: "The workshop does not answer.", hint: "Is `fledge workshop` still running?" });
  }
  if (!r.ok) {
    const no = await refusal(r);
    if (no.code === "not-paired") dispatchEvent(new Event("fledge-unpaired"));
    throw no;
  }
  return r;
}

export async function get<T>(path: string, signal?: AbortSignal): Promise<T> {
  return (await send("GET", path, undefined, signal)).json() as Promise<T>;
}

/** Looks asked for before anybody needs them: each is taken once. */
const early = new Map<string, Promise<Response>>();

/** Asks for a look that will be wanted in a moment. */
export function ahead(path: string): void {
  const r = send("GET", path);
  r.catch(() => undefined);
  early.set(path, r);
}
/** Lets go of what was asked ahead. */
export function unasked(): void { early.clear(); }

/** What this page has looked at: for the worker, should it come later. */
export const looks = new Set<string>();

/** As get, and says when the answer is one the worker kept. */
export async function getKept<T>(path: string): Promise<{ body: T; at: Date | null }> {
  looks.add("/api" + path);
  const asked = early.get(path);
  early.delete(path);
  const r = await (asked ?? send("GET", path));
  const kept = r.headers.get("Fledge-Kept");
  return { body: (await r.json()) as T, at: kept ? new Date(kept) : null };
}

export async function post<T>(path: string, body: unknown, signal?: AbortSignal): Promise<T> {
  const r = await send("POST", path, body, signal);
  const text = await r.text();
  return (text ? JSON.parse(text) : undefined) as T;
}
export async function put<T>(path: string, body: unknown): Promise<T> { return (await send("PUT", path, body)).json() as Promise<T>; }
export async function patch<T>(path: string, body: unknown): Promise<T> { return (await send("PATCH", path, body)).json() as Promise<T>; }
export async function drop(path: string): Promise<void> { await send("DELETE", path); }

/** A path of the build's routes. */
export function at(file: string, rest = ""): string { return `/builds/${encodeURIComponent(file)}${rest}`; }

export function asRefusal(e: unknown): Refusal {
  if (e instanceof Refusal) return e;
  return new Refusal(0, { schema: 1, code: "fault", message: e instanceof Error ? e.message : String(e) });
}
