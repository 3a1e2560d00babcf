import { letter } from "./lettering";

/** Text in the workshop's drafting letters; plain where a letter is missing. */
export function Lettered({ text, size = 18, weight = 1 }: { text: string; size?: number; weight?: number }) {
  const l = letter(text);
  if (!l) return <span class="lettered-plain" style={{ fontSize: `${size}px` }}>{text}</span>;
  const lean = 1.4, k = size / 6, pad = weight + 1;
  return (
    <span class="lettered">
      <span class="unseen">{text}</span>
      <svg aria-hidden="true" focusable="false" width={(l.width + lean) * k + 2 * pad} height={7 * k + 2 * pad}
        viewBox={`${-pad / k} ${-pad / k} ${l.width + lean + 2 * pad / k} ${7 + 2 * pad / k}`}>
        <g transform="matrix(1 0 -0.22 1 1.3 0)" fill="none" stroke="currentColor" stroke-width={(1.5 * weight) / k}
          stroke-linecap="round" stroke-linejoin="round">
          {l.strokes.map((s) => <path d={s.d} transform={`translate(${s.x} 0)`} />)}
        </g>
      </svg>
    </span>
  );
}
