/** Runs made for the debrief's journeys: a rehearsal's patient and packs with another log, played by the engine. */
import { buildExport, type EventBody, type RunEvent, type RunExport } from '@breathline/engine';

type Said = EventBody & { readonly at: number; readonly take?: number };
const s = (seconds: number): number => seconds * 1000;

/** The run of these lines; `base` gives the patient, the scenario and the packs. */
export function runOf(base: RunExport, runId: string, lines: readonly Said[]): RunExport {
  const events = lines.map(({ at, take = 1, ...body }, index): RunEvent => {
    const stamp = { seq: index + 1, take, appliedAtMs: at, occurredAtMs: at, by: { role: 'lead' } as const };
    return { ...(body as EventBody), ...stamp, wallTime: new Date(Date.UTC(2026, 0, 5, 9) + at).toISOString() };
  });
  return buildExport({ runId, createdAt: '2026-01-05T09:00:00.000Z', definition: base.definition, events });
}

type Given = Extract<EventBody, { kind: 'intervention' }>;
const give = (at: number, intervention: string, part: Partial<Given> = {}): Said => ({
  at,
  kind: 'intervention',
  intervention,
  step: 'given',
  amount: null,
  doseSeen: true,
  ...part,
});
const ADRENALINE = {
  amount: 300,
  unit: 'micrograms',
  concentration: '1 mg/mL',
  volumeMl: 0.3,
  route: 'im',
  site: 'outer mid-thigh',
  doseSeen: true,
} as const;
const adrenaline = (at: number, part: Partial<Given> = {}): Said =>
  give(at, 'adrenaline-im', { ...ADRENALINE, ...part });
const start: Said = { at: 0, kind: 'run-started' };
const end = (at: number): Said => ({ at, kind: 'run-ended', why: 'faculty' });

/** Between them these two runs bring out every word a line of the scorecard can have. */
export const everyWord = (base: RunExport): readonly RunExport[] => [
  runOf(base, 'words-late', [
    start,
    give(s(20), 'chlorphenamine', { amount: 5, unit: 'mg', route: 'iv' }),
    give(s(30), 'lie-flat'),
    give(s(200), 'oxygen-non-rebreathe-mask', { flowLPerMin: 15 }),
    adrenaline(s(260), { doseSeen: false }),
    adrenaline(s(400)),
    give(s(430), 'adrenaline-iv-bolus', { amount: 50, unit: 'micrograms', route: 'iv' }),
    end(s(600)),
    { at: s(600), kind: 'reconciled', target: 'recognised-aloud', answer: 'not-done' },
  ]),
  runOf(base, 'words-wrong', [
    start,
    give(s(30), 'lie-flat'),
    adrenaline(s(60), { amount: 3000, volumeMl: 3 }),
    give(s(90), 'chlorphenamine', { amount: 5, unit: 'mg', route: 'iv' }),
    end(s(300)),
  ]),
];

/** Nothing done for four minutes; wound back to the first, where adrenaline comes at two. */
export const twoTakes = (base: RunExport): RunExport =>
  runOf(base, 'two-takes', [
    start,
    give(s(230), 'lie-flat'),
    { at: s(60), take: 2, kind: 'wound-back', toMs: s(60), fromTake: 1, leftAtMs: s(300) },
    { ...adrenaline(s(120)), take: 2 },
    { ...end(s(300)), take: 2 },
  ]);

/** Thirty minutes and 500 events: every few seconds somebody looked, or something was written down. */
export function longRun(base: RunExport): RunExport {
  const looks = base.definition.library.interventions.filter(({ kind }) => kind === 'assessment');
  const between = Array.from({ length: 496 }, (_, n): Said => {
    const at = s(3 + n * 3);
    const look = looks[n % looks.length]!;
    return n % 2 === 0 ? { at, kind: 'assessment', intervention: look.id } : { at, kind: 'note', text: `Note ${n}` };
  });
  const lines = [start, adrenaline(s(400)), adrenaline(s(700)), ...between, end(s(1800))];
  return runOf(
    base,
    'long',
    lines.sort((a, b) => a.at - b.at),
  );
}
