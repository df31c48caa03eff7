/** The scorecard on paper: times and gaps first, every line with its evidence and its source, no single number. */
import {
  asksForAdrenaline,
  buildTimeline,
  clockText,
  dangerLines,
  durationText,
  adrenalineLines,
  notJudged,
  scoreRun,
  teamwork,
  teamworkText,
  type Scorecard,
  type TargetResult,
} from '@breathline/debrief';
import { RATING_STEPS, exportOfTake, type RunExport } from '@breathline/engine';
import type { Source, TargetClock } from '@breathline/scenario';
import { heldWords } from '../run-day.ts';
import { INK, MARGIN, SOFT, Sheet, WARN, faceOf, plain } from './sheet.ts';
import { drawStrip } from './strip.ts';

const RESULTS: Readonly<Record<TargetResult['result'], string>> = {
  met: 'Met',
  early: 'Early',
  late: 'Late',
  missed: 'Missed',
  'not-due': 'Not due in this run',
  'not-recorded': 'Not recorded',
  censored: 'Run ended before it was due',
  'given-unverified': 'Given, dose not seen',
  'given-wrong-dose': 'Given, wrong dose',
  'contraindicated-given': 'Given against the guideline',
  'order-kept': 'In order',
  'order-broken': 'Out of order',
};
const CLOCKS: Readonly<Record<TargetClock, string>> = {
  arrival: 'arrival',
  'could-have-seen': 'could have been seen',
  'did-see': 'was seen',
  'previous-dose': 'the dose before',
  'shock-visible': 'shock could be seen',
  'first-dose': 'the first dose',
};
const BAD: ReadonlySet<TargetResult['result']> = new Set([
  'missed',
  'given-wrong-dose',
  'contraindicated-given',
  'order-broken',
]);

const sourceText = (source: Source): string =>
  [source.organisation, source.document, source.edition, source.section].filter(Boolean).join(', ');

/** "late by 1 min 5 s", "20 s in hand", or nothing where no time applies. */
const timing = (one: TargetResult): string => {
  // Time in hand is no comfort where what was given was wrong.
  const wrong = one.result === 'given-wrong-dose' || one.result === 'contraindicated-given';
  if (one.latenessMs === null || (wrong && one.latenessMs <= 0)) return '';
  if (one.result === 'early') return 'too soon';
  if (one.latenessMs > 0) return `late by ${durationText(one.latenessMs)}`;
  return one.latenessMs === 0 ? 'just in time' : `${durationText(one.latenessMs)} in hand`;
};

export const clockRows = (card: Scorecard): readonly (readonly [string, string])[] => {
  const { clocks } = card;
  const at = (ms: number | null, because?: string | null): string =>
    ms === null ? 'not in the log' : `${clockText(ms)}${because ? ` – ${because}` : ''}`;
  return [
    ['Arrival', at(clocks.arrivalMs)],
    [
      'Could have seen',
      clocks.couldHaveSeenMs === null ? 'never in this run' : at(clocks.couldHaveSeenMs, clocks.couldHaveSeenBecause),
    ],
    ['Did see', at(clocks.didSeeMs, clocks.didSeeBecause)],
    ['Said', clocks.saidMs === null ? 'no diagnosis and no call for help in the log' : at(clocks.saidMs)],
    // A wrong dose is no first dose to be glad of: the fault stands beside its time.
    ...(asksForAdrenaline(card)
      ? adrenalineLines(card).map(({ says, atMs, note }) => [says, at(atMs, note)] as const)
      : []),
    ...card.results
      .filter(({ target, actualMs }) => target.clock === 'previous-dose' && actualMs !== null)
      .map((one) => {
        const gap = one.takenMs === null ? '' : `, ${durationText(one.takenMs)} after the one before`;
        return [
          one.target.doseRule === undefined ? 'Again' : `Dose ${one.target.nth ?? 2}`,
          `${at(one.actualMs)}${gap}${one.target.doseRule === undefined ? ` – ${one.target.says}` : ''}`,
        ] as const;
      }),
    ['Run ended', at(clocks.endMs)],
  ];
};

/** One line: what was asked, its evidence, its source; the result beside it. Never broken over two pages. */
const drawTarget = (sheet: Sheet, one: TargetResult): void => {
  const { pdf } = sheet;
  const side = 132;
  const options = { width: sheet.width - side - 10, lineGap: 1 };
  // The clock's own story stands once, under Clocks; here only when it ran from.
  const clock =
    one.clockStartMs === null
      ? `Clock: ${one.clockStartBecause}.`
      : `Clock from ${clockText(one.clockStartMs)} (${CLOCKS[one.target.clock]}).`;
  const evidence = one.evidence
    .filter(({ seq }) => seq !== null)
    .map(({ atMs, text }) => `${atMs === null ? '' : `${clockText(atMs)} `}${text}.`);
  const judged = one.adjusted ? `Faculty: ${RESULTS[one.adjusted.result]} (“${one.adjusted.reason}”).` : '';
  const details = [judged, one.dose?.text ?? '', ...evidence, clock, one.because ?? ''].filter((text) => text !== '');
  const checked = one.unverifiedSource
    ? 'Unverified: no named clinician has checked this line; it fails no one.'
    : `Checked by ${one.source.checkedBy}.`;
  const teaching = one.target.timeStatus === 'teaching' ? 'Teaching target, not a guideline time. ' : '';
  const parts = [
    { text: one.target.says, weight: 'strong', size: 10, colour: INK },
    { text: details.join('  '), weight: 'regular', size: 9, colour: INK },
    { text: `${sourceText(one.source)}. ${teaching}${checked}`, weight: 'regular', size: 7.5, colour: SOFT },
  ] as const;
  const set = ({ text, weight, size }: (typeof parts)[number]) => pdf.font(faceOf(text, weight)).fontSize(size);
  const height = parts.reduce((so, part) => so + set(part).heightOfString(sheet.plain(part.text), options) + 1, 0);
  sheet.need(Math.max(54, height + 8));
  const y = pdf.y;
  parts.forEach((part, i) => {
    set(part)
      .fillColor(part.colour)
      .text(sheet.plain(part.text), MARGIN, pdf.y + (i === 0 ? 0 : 1), options);
  });
  const after = pdf.y;
  const x = MARGIN + sheet.width - side;
  pdf
    .font('strong')
    .fontSize(10)
    .fillColor(BAD.has(one.result) ? WARN : INK)
    .text(RESULTS[one.result], x, y, { width: side, align: 'right' });
  pdf
    .font('regular')
    .fontSize(9)
    .fillColor(INK)
    .text(plain(timing(one)), x, pdf.y, { width: side, align: 'right' });
  pdf.y = Math.max(after, pdf.y) + 2;
  sheet.rule();
};

/** The whole scorecard, as the bytes of a PDF. Throws `DebriefError` for a pack the run lacks. */
export const scorecardPdf = async (run: RunExport, packId?: string): Promise<Buffer> => {
  const card = scoreRun(run, packId === undefined ? {} : { packId });
  const { scenario } = run.definition;
  const sheet = new Sheet({
    title: `Scorecard – ${scenario.title}`,
    caution: card.caution,
    createdAt: new Date(run.createdAt),
  });
  sheet.title(scenario.title);
  sheet.text(`${heldWords(run, 'Run of')}, take ${card.take}. Against: ${card.packTitle}.`, { soft: true });
  sheet.text(card.caution, { warn: true, strong: true, size: 9 });
  if (card.criticalFailures.length > 0) {
    sheet.heading('Stands out');
    for (const { text } of card.criticalFailures) sheet.text(`• ${text}`, { warn: true, strong: true });
  }
  if ((card.forDiscussion ?? []).length > 0) {
    sheet.heading('To talk about (by lines no clinician has checked yet)');
    for (const { text } of card.forDiscussion ?? []) sheet.text(`• ${text}`);
  }
  sheet.heading('Clocks');
  sheet.pairs(clockRows(card));
  sheet.heading('The run');
  drawStrip(sheet, buildTimeline(run, card), ['spo2', 'pulse', 'pressure']);
  sheet.heading('Targets');
  for (const one of card.results) drawTarget(sheet, one);
  sheet.heading('Time in danger');
  sheet.pairs(dangerLines(card.danger).map(({ says, ms }) => [says, durationText(ms)]));
  const pack = run.definition.library.packs.find(({ id }) => id === card.packId);
  const unjudged = pack === undefined ? [] : notJudged(pack);
  if (unjudged.length > 0) {
    sheet.heading('Not judged');
    for (const words of unjudged) sheet.text(words);
  }
  const seen = teamwork(exportOfTake(run)).filter((one) => one.seen + one.partly + one.notSeen > 0);
  if (seen.length > 0) {
    sheet.heading('Teamwork, as observers saw it');
    for (const one of seen) sheet.text(`• ${one.says}: ${teamworkText(one)}`);
    sheet.text(RATING_STEPS.map(({ rating, says }) => `${rating}: ${says.toLowerCase()}`).join('; '), {
      soft: true,
      size: 8,
    });
  }
  if (card.objectives.length > 0) {
    sheet.heading('Objectives');
    sheet.pairs(
      card.objectives.map(({ says, result }) => [
        result === 'seen' ? 'Seen' : result === 'not-seen' ? 'Not seen' : 'Not known',
        says,
      ]),
      80,
    );
  }
  return sheet.finish();
};
