import { tryRemedy } from "./bench/try";

export function TryButton({ sets, say, finding }: { sets: string[]; say: string; finding: string }) {
  return <button type="button" class="try no-print" aria-label={`Try: ${say}`} onClick={() => void tryRemedy(sets, say, finding)}>Try</button>;
}
