/** How fast the patient alone runs on one core, beside a bare loop of the same arithmetic, and what it leaves on the heap. */
import { PerformanceObserver } from 'node:perf_hooks';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import type * as Patient from '@breathline/patient';
import { applyInput, buildPatient, createState, createVitals, readVitals, stepPatient } from '@breathline/patient';
import { bareLoop, countOf } from './arithmetic.ts';

const STEPS = 400_000;
const REPEATS = 3;

function seconds(work: () => void): number {
  let best = Infinity;
  for (let i = 0; i < REPEATS; i++) {
    // Processor time of this process: what else the machine does meanwhile is not counted.
    const start = process.cpuUsage();
    work();
    const used = process.cpuUsage(start);
    best = Math.min(best, (used.user + used.system) / 1e6);
  }
  return best;
}

/** What a million steps leave on the heap between two full collections, and how many collections they set off. */
async function heapOf(work: () => void): Promise<{ bytes: number; collections: number }> {
  setFlagsFromString('--expose-gc');
  const collect = runInNewContext('gc') as () => void;
  work();
  let collections = 0;
  const watch = new PerformanceObserver((list) => {
    collections += list.getEntries().length;
  });
  collect();
  const before = process.memoryUsage().heapUsed;
  watch.observe({ entryTypes: ['gc'] });
  work();
  await new Promise((done) => setTimeout(done, 50));
  watch.disconnect();
  collect();
  return { bytes: process.memoryUsage().heapUsed - before, collections };
}

/** A child with four illnesses at once, much given: every branch of the step runs. */
function everything() {
  const model = buildPatient({
    ageYears: 0.2,
    weightKg: 5,
    sex: 'male',
    illness: [
      { disease: 'bronchiolitis', pattern: 'with-apnoea', startedMinutesAgo: 20 },
      { disease: 'pneumonia', pattern: 'septic', severity: 0.4 },
      { disease: 'pneumothorax', pattern: 'left-simple', severity: 0.5 },
      { disease: 'pulmonary-oedema', severity: 0.3 },
    ],
  });
  const state = createState(model);
  applyInput(model, state, { kind: 'oxygen', device: 'high-flow-nasal', flowLPerMin: 10, fio2Fraction: 0.5 });
  applyInput(model, state, { kind: 'dose', effect: 'salbutamol', route: 'neb', amount: 2.5 });
  applyInput(model, state, { kind: 'dose', effect: 'crystalloid', route: 'iv', amount: 50, overMs: 600_000 });
  return { model, state };
}

/** A child in a reaction, treated. */
function reaction(api: Pick<typeof Patient, 'applyInput' | 'buildPatient' | 'createState'>) {
  const model = api.buildPatient({
    ageYears: 7,
    weightKg: 23,
    sex: 'female',
    illness: [{ disease: 'anaphylaxis', pattern: 'food' }],
  });
  const state = api.createState(model);
  api.applyInput(model, state, { kind: 'drive', drive: 'mediators', to: 0.5, overMs: 120_000 });
  api.applyInput(model, state, { kind: 'dose', effect: 'adrenaline', route: 'im', site: 'thigh', amount: 300 });
  api.applyInput(model, state, { kind: 'dose', effect: 'crystalloid', route: 'iv', amount: 230, overMs: 600_000 });
  return { model, state };
}

/** Simulated seconds per real second, reading the vitals every second of the simulation. */
export default async function bench(): Promise<
  { name: string; value: number; unit: string; baseline: number; ratio: number }[]
> {
  const { model, state: start } = reaction({ applyInput, buildPatient, createState });
  const vitals = createVitals();
  const state = new Float64Array(start) as typeof start;
  const patient = seconds(() => {
    state.set(start);
    for (let i = 0; i < STEPS; i++) {
      stepPatient(model, state, 100);
      if (i % 10 === 0) readVitals(model, state, vitals);
    }
  });
  // As many sums, products, quotients and comparisons as the step does, counted in a copy that counts itself.
  const counts = await countOf((api) => reaction(api));
  const bare = seconds(bareLoop(counts, STEPS));
  const cells = new Float64Array(32).fill(1.0001);
  const ill = everything();
  const illStart = new Float64Array(ill.state);
  const illPatient = seconds(() => {
    ill.state.set(illStart);
    for (let i = 0; i < STEPS; i++) {
      stepPatient(ill.model, ill.state, 100);
      if (i % 10 === 0) readVitals(ill.model, ill.state, vitals);
    }
  });
  const million = await heapOf(() => {
    ill.state.set(illStart);
    for (let i = 0; i < 1_000_000; i++) stepPatient(ill.model, ill.state, 100);
  });
  const nothing = await heapOf(() => {
    for (let i = 0; i < 1_000_000; i++) cells[i & 31] = cells[i & 31]! + 1e-9;
  });
  const simulated = STEPS / 10;
  return [
    {
      name: 'patient alone, all subsystems on',
      value: simulated / patient,
      unit: 'times real time',
      baseline: simulated / bare,
      ratio: bare / patient,
    },
    {
      name: 'patient alone, four other illnesses at once',
      value: simulated / illPatient,
      unit: 'times real time',
      baseline: simulated / bare,
      ratio: bare / illPatient,
    },
    {
      name: 'operations in one step (+ or -; baseline: x, / and comparisons)',
      value: counts.sums,
      unit: 'operations',
      baseline: counts.products + counts.quotients + counts.comparisons,
      ratio: counts.sums / (counts.products + counts.quotients + counts.comparisons),
    },
    {
      name: 'heap kept by a million steps',
      value: million.bytes,
      unit: 'bytes',
      baseline: nothing.bytes,
      ratio: million.bytes / 1_000_000,
    },
    {
      name: 'collections during a million steps',
      value: million.collections,
      unit: 'collections',
      baseline: nothing.collections,
      ratio: million.collections / 1_000_000,
    },
  ];
}
