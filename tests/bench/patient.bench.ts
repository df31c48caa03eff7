/** How fast the patient alone runs on one core, beside a bare loop of similar arithmetic, and what it leaves on the heap. */
import { PerformanceObserver } from 'node:perf_hooks';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { applyInput, buildPatient, createState, createVitals, readVitals, stepPatient } from '@breathline/patient';

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

/** Simulated seconds per real second, reading the vitals every second of the simulation. */
export default async function bench(): Promise<
  { name: string; value: number; unit: string; baseline: number; ratio: number }[]
> {
  const model = buildPatient({
    ageYears: 7,
    weightKg: 23,
    sex: 'female',
    illness: [{ disease: 'anaphylaxis', pattern: 'food' }],
  });
  const vitals = createVitals();
  const start = createState(model);
  applyInput(model, start, { kind: 'drive', drive: 'mediators', to: 0.5, overMs: 120_000 });
  applyInput(model, start, { kind: 'dose', effect: 'adrenaline', route: 'im', site: 'thigh', amount: 300 });
  applyInput(model, start, { kind: 'dose', effect: 'crystalloid', route: 'iv', amount: 230, overMs: 600_000 });
  const state = new Float64Array(start) as typeof start;
  const patient = seconds(() => {
    state.set(start);
    for (let i = 0; i < STEPS; i++) {
      stepPatient(model, state, 100);
      if (i % 10 === 0) readVitals(model, state, vitals);
    }
  });
  // The same kind and amount of arithmetic with nothing around it: about 300 multiply-adds, 40 divisions, 2 square roots.
  const cells = new Float64Array(64).fill(1.0001);
  const bare = seconds(() => {
    for (let i = 0; i < STEPS; i++) {
      for (let j = 0; j < 60; j++) {
        const v = cells[j]!;
        cells[j] = v + 1e-9 * (v * 0.3 + v * v * 0.1 - v * v * v * 0.05 - cells[j + 1]! * 0.2 + 0.1);
      }
      for (let j = 0; j < 40; j++) cells[j] = cells[j]! + 1e-9 / (1 + cells[j + 1]!);
      cells[60] = Math.sqrt(cells[0]! + 1) * Math.sqrt(cells[1]! + 2);
    }
  });
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
