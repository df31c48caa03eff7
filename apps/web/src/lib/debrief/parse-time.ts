/** A time as people say it on the run clock: "4:30", "4.30", "430", "4" (minutes), "90 s". */

export type ParsedTime =
  { readonly ok: true; readonly atMs: number | null } | { readonly ok: false; readonly why: string };

/** Reads a time up to `endMs`. Empty is fine and means "no time". */
export function parseTime(text: string, endMs: number): ParsedTime {
  const tidy = text.trim().toLowerCase();
  if (tidy === '') return { ok: true, atMs: null };
  const seconds = secondsOf(tidy);
  if (seconds === null) return { ok: false, why: 'Write minutes and seconds, for instance 4:30.' };
  if (seconds * 1000 > endMs) return { ok: false, why: 'That is after the run ended.' };
  return { ok: true, atMs: seconds * 1000 };
}

function secondsOf(tidy: string): number | null {
  const clock = /^(\d{1,3})[:.](\d{2})$/.exec(tidy);
  if (clock) return Number(clock[2]) < 60 ? Number(clock[1]) * 60 + Number(clock[2]) : null;
  const seconds = /^(\d{1,4}) ?s(ec(onds?)?)?$/.exec(tidy);
  if (seconds) return Number(seconds[1]);
  const minutes = /^(\d{1,2})( ?m(in(utes?)?)?)?$/.exec(tidy);
  if (minutes) return Number(minutes[1]) * 60;
  const bare = /^(\d{1,2})(\d{2})$/.exec(tidy);
  return bare && Number(bare[2]) < 60 ? Number(bare[1]) * 60 + Number(bare[2]) : null;
}
