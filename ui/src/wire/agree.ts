// The page's own types (types.ts) say more than the server's (api.ts: literal
// words, numbers that are always there). Here the compiler holds that the
// server's fit them: a key that is renamed or gone fails the build.
import type * as S from "../api";
import type * as M from "./types";
import type { Linkages } from "./bodies";

/** A type with words as text and numbers that may be missing. */
type Loose<T> = T extends string ? string : T extends number ? number | null : T extends boolean ? boolean : T extends null | undefined ? T
  : T extends readonly [unknown, ...unknown[]] ? unknown : T extends readonly (infer U)[] ? Loose<U>[] : T extends object ? { [K in keyof T]: Loose<T[K]> } : T;
type Fits<Server extends Loose<Mine>, Mine> = [Server, Mine];

export type Agreed = [
  Fits<Required<S.Hello>, M.Hello>, Fits<S.Hangar, M.Hangar>, Fits<S.Question, M.Question>, Fits<S.Build, M.BuildView>, Fits<S.Drawing, M.Drawing>, Fits<S.Preview, M.Preview>,
  Fits<S.Fan, M.Fan>, Fits<S.Edited, M.Edited>, Fits<S.Refusal, M.RefusalBody>, Fits<S.Page, M.Page>, Fits<S.Try, M.TryBody>, Fits<S.Check, M.CheckBody>, Fits<S.Term, M.Term>, Fits<S.Linkages, Linkages>,
];
