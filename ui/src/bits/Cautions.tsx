/** The cautions that concern a page, in plain words. */
export function Cautions({ of }: { of: string[] | null | undefined }) {
  if (!of?.length) return null;
  return (
    <div class="cautions" role="note" aria-label="Cautions">
      <svg viewBox="0 0 24 22" aria-hidden="true" focusable="false"><path d="M12 2L22 20H2ZM12 8V14M12 16.6V17.4" /></svg>
      <ul>{of.map((c) => <li>{c}</li>)}</ul>
    </div>
  );
}
