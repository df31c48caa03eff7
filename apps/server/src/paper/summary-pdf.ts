/** One page for a team: what went in good time, what to work on, the run on one line, and room for what they take home. */
import { buildTimeline, dangerLines, doseFault, durationText, scoreRun, type TargetResult } from '@breathline/debrief';
import type { RunExport } from '@breathline/engine';
import { heldWords } from '../run-day.ts';
import { MARGIN, RULE, Sheet } from './sheet.ts';
import { drawStrip } from './strip.ts';

const TO_WORK_ON: ReadonlySet<TargetResult['result']> = new Set([
  'late',
  'missed',
  'given-wrong-dose',
  'contraindicated-given',
  'order-broken',
]);

/** What it came to: as faculty judged where they did, else as the clock says. */
const resultOf = (one: TargetResult): TargetResult['result'] => (one.adjusted ?? one).result;

/** A deed done in time. What was only not done (no antihistamine first, not stood up) is no deed to praise. */
const isGood = (one: TargetResult): boolean => resultOf(one) === 'met' && one.actualMs !== null && !isWrong(one);

/** Done, but with a dose or a route the pack's rule calls wrong: nothing to be glad of, however soon. */
const isWrong = (one: TargetResult): boolean => one.actualMs !== null && doseFault(one.dose) !== null;

const line = (one: TargetResult): string => {
  const late =
    one.latenessMs === null
      ? ''
      : one.latenessMs > 0
        ? ` – ${durationText(one.latenessMs)} late`
        : ` – ${durationText(one.latenessMs)} in hand`;
  const result = resultOf(one);
  const wrong = result === 'contraindicated-given' || result === 'order-broken';
  const against = wrong && one.because ? ` – ${one.because}` : '';
  // "In hand" is no comfort where the dose was wrong: the dose itself is what to work on.
  const what = isWrong(one) && one.dose ? ` – ${one.dose.text.replace(/\.$/, '')}` : against || late;
  const judged = one.adjusted ? ' – judged by faculty' : '';
  return `• ${one.target.says}${one.adjusted && result === 'met' ? '' : what}${judged} (${one.source.organisation}${one.unverifiedSource ? ', unverified' : ''})`;
};

export interface SummaryWords {
  /** What the group chose to take home, if it was written down. */
  readonly takeHome?: readonly string[];
  readonly systemFixes?: readonly string[];
}

/** What one page can hold; the rest is on the scorecard and in the files. */
const MOST_DOSES = 6;
const MOST_WORDS = 3;
const LONGEST = 120;

/** One page, as the bytes of a PDF. No names, no score. */
export const summaryPdf = async (run: RunExport, packId?: string, words: SummaryWords = {}): Promise<Buffer> => {
  const card = scoreRun(run, packId === undefined ? {} : { packId });
  const { scenario } = run.definition;
  const sheet = new Sheet({
    title: `Team summary – ${scenario.learnerTitle}`,
    caution: card.caution,
    createdAt: new Date(run.createdAt),
  });
  sheet.title(scenario.learnerTitle);
  sheet.text(`${heldWords(run, 'Practice on')}. Times are against: ${card.packTitle}.`, { soft: true });
  const good = card.results.filter(isGood).slice(0, 3);
  const work = card.results
    .filter((one) => TO_WORK_ON.has(resultOf(one)) || (isWrong(one) && one.adjusted === undefined))
    .sort((a, b) => Number(b.target.critical) - Number(a.target.critical) || b.target.weight - a.target.weight)
    .slice(0, 3);
  sheet.heading('In good time');
  if (good.length === 0) sheet.text('Nothing was logged as in time.');
  for (const one of good) sheet.text(line(one));
  sheet.heading('To work on');
  if (work.length === 0) sheet.text('Nothing stood out.');
  for (const one of work) sheet.text(line(one));
  sheet.heading('The run');
  const danger = dangerLines(card.danger).filter(({ ms }) => ms > 0);
  if (danger.length === 0) sheet.text('At no time in danger.');
  for (const { says, ms } of danger) sheet.text(`• ${says} – ${durationText(ms)}`);
  drawStrip(sheet, buildTimeline(run, card), ['spo2', 'pulse'], MOST_DOSES);
  const lined = (title: string, given: readonly string[] | undefined, blank: number): void => {
    sheet.heading(title);
    const all = given ?? [];
    for (const text of all.slice(0, MOST_WORDS))
      sheet.text(`• ${text.length > LONGEST ? `${text.slice(0, LONGEST)}…` : text}`);
    if (all.length > MOST_WORDS) sheet.text(`and ${all.length - MOST_WORDS} more`, { soft: true });
    if (all.length > 0) return;
    for (let i = 0; i < blank; i++) {
      const y = sheet.pdf.y + 18;
      sheet.pdf
        .moveTo(MARGIN, y)
        .lineTo(MARGIN + sheet.width, y)
        .lineWidth(0.5)
        .strokeColor(RULE)
        .stroke();
      sheet.pdf.y = y;
    }
  };
  lined('We take home', words.takeHome, 3);
  lined('What the place should fix', words.systemFixes, 2);
  return sheet.finish();
};
