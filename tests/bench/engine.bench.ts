/**
 * The engine on one core: how many times faster than the clock a drill runs, with patient, devices and guards. The
 * baseline, run in turns with it, is the patient model alone: the ratio is what the engine adds.
 */
import { copyState, createState, stepPatient } from '@breathline/patient';
import { createRun, replay, STEP_MS, whatIf, buildExport, type RunDefinition } from '@breathline/engine';
import { REACTION, TREATED } from '../../packages/engine/test/fixtures.ts';
import { planOf } from '../../packages/engine/src/run/plan.ts';

interface Figure {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
  readonly baseline: number;
  readonly ratio: number;
}

const RUN_MS = TREATED.at(-1)!.appliedAtMs;
const ROUNDS = 9;

const median = (values: readonly number[]): number => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)]!;

/** Processor time of this process, ms: a busy machine lengthens the wall clock, not the work. */
function time(work: () => void): number {
  const start = process.cpuUsage();
  work();
  const { user, system } = process.cpuUsage(start);
  return (user + system) / 1000;
}

/** Medians of two pieces of work run in turns, after a warm-up of both, ms. */
function inTurns(work: () => void, baseline: () => void): [number, number] {
  work();
  baseline();
  const [a, b]: [number[], number[]] = [[], []];
  for (let i = 0; i < ROUNDS; i++) {
    a.push(time(work));
    b.push(time(baseline));
  }
  return [median(a), median(b)];
}

/** The same patient, stepped as long, with nothing around it. */
function patientAlone(definition: RunDefinition): () => void {
  const { model } = planOf(definition);
  const settled = createState(model);
  return () => {
    const state = copyState(settled);
    for (let at = 0; at < RUN_MS; at += STEP_MS) stepPatient(model, state, STEP_MS);
  };
}

export default async function bench(): Promise<Figure[]> {
  const bare = patientAlone(REACTION);
  const speed = (ms: number): number => RUN_MS / ms;
  const figure = (name: string, work: () => void): Figure => {
    const [ms, baselineMs] = inTurns(work, bare);
    return { name, value: speed(ms), unit: 'x real time', baseline: speed(baselineMs), ratio: baselineMs / ms };
  };
  const run = buildExport({ runId: 'bench', createdAt: '', definition: REACTION, events: TREATED });
  const edit = [{ kind: 'move', seq: 8, byMs: 120_000 }] as const;
  const [oneReplay] = inTurns(() => void replay(REACTION, TREATED), bare);
  const [answer] = inTurns(
    () => void whatIf(run, edit, { uncertain: [] }),
    () => void replay(REACTION, TREATED),
  );
  const viewed = createRun(REACTION);
  for (const event of TREATED.slice(0, -1)) viewed.apply(event);
  viewed.advanceTo(RUN_MS - 1000);
  const views = 200;
  const [viewMs, rowMs] = inTurns(
    () => {
      for (let i = 0; i < views; i++) viewed.view();
    },
    () => {
      for (let i = 0; i < views; i++) viewed.trackRow();
    },
  );
  return [
    figure(
      'engine: patient, devices and guards',
      () => void replay(REACTION, TREATED, { keepTrack: false, keepSnapshots: false }),
    ),
    figure('engine: the same with track and undo snapshots', () => void replay(REACTION, TREATED)),
    figure('engine: the same, hashing the state every step', () => {
      replay(REACTION, TREATED, { keepTrack: false, keepSnapshots: false, onTick: (now) => void now.hash() });
    }),
    {
      name: 'engine: what-if of a ten-minute run, no ranges (replay)',
      value: answer,
      unit: 'ms',
      baseline: oneReplay,
      ratio: answer / oneReplay,
    },
    {
      name: 'engine: one faculty view (one track row)',
      value: viewMs / views,
      unit: 'ms',
      baseline: rowMs / views,
      ratio: viewMs / rowMs,
    },
  ];
}
