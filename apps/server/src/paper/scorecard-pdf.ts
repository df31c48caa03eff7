/** The scorecard on paper: times and gaps first, every line with its evidence and its source, no single number. */
import {
  asksForAdrenaline,
  buildTimeline,
  clockText,
  dangerLines,
  durationText,
  notJudged,
  scoreRun,
  teamwork,
  teamworkText,
  type Scorecard,
  type TargetResult,
} from '@breathline/debrief';
import { RATING_STEPS, exportOfTake, type RunExport } from '@breathline/engine';
import type { Source, TargetClock } from '@breathline/scenario';
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
  if (one.latenessMs === null) return '';
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
    ...(asksForAdrenaline(card) ? [['First adrenaline', at(clocks.firstAdrenalineMs)] as const] : []),
    ...card.results
      .filter(({ target, actualMs }) => target.clock === 'previous-dose' && actualMs !== null)
      .map((one) => {
        const gap = one.takenMs === null ? '' : `, ${durationText(one.takenMs)} after the one before`;
        return [
          one.target.doseRule === undefined ? 'Again' : `Dose ${one.target.nth ?? 2}`,
          `${at(one.actualMs)}${gap}`,
        ] as const;
      }),
    ['Run ended', at(clocks.endMs)],
  ];
};

const drawTarget = (sheet: Sheet, one: TargetResult): void => {
  const { pdf } = sheet;
  sheet.need(54);
  const y = pdf.y;
  const side = 132;
  const options = { width: sheet.width - side - 10, lineGap: 1 };
  const { says } = one.target;
  pdf.font(faceOf(says, 'strong')).fontSize(10).fillColor(INK).text(sheet.plain(says), MARGIN, y, options);
  // The clock's own story stands once, under Clocks; here only when it ran from.
  const clock =
    one.clockStartMs === null
      ? `Clock: ${one.clockStartBecause}.`
      : `Clock from ${clockText(one.clockStartMs)} (${CLOCKS[one.target.clock]}).`;
  const evidence = one.evidence
    .filter(({ seq }) => seq !== null)
    .map(({ atMs, text }) => `${clockText(atMs)} ${text}.`);
  const details = [one.dose?.text ?? '', ...evidence, clock, one.because ?? ''].filter((text) => text !== '');
  const told = details.join('  ');
  pdf
    .font(faceOf(told, 'regular'))
    .fontSize(9)
    .text(sheet.plain(told), MARGIN, pdf.y + 1, options);
  pdf
    .font('regular')
    .fontSize(7.5)
    .fillColor(SOFT)
    .text(
      plain(
        `${sourceText(one.source)}. ${one.target.timeStatus === 'teaching' ? 'Teaching target, not a guideline time. ' : ''}${
          one.unverifiedSource
            ? 'Unverified: no named clinician has checked this line; it fails no one.'
            : `Checked by ${one.source.checkedBy}.`
        }`,
      ),
      MARGIN,
      pdf.y + 1,
      options,
    );
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
  sheet.text(`Run of ${run.createdAt.slice(0, 10)}, take ${card.take}. Against: ${card.packTitle}.`, { soft: true });
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
