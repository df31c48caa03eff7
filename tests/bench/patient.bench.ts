/** How fast the patient alone runs on one core, beside a bare loop of similar arithmetic. */
import { applyInput, buildPatient, createState, createVitals, readVitals, stepPatient } from '@breathline/patient';

const STEPS = 400_000;
const REPEATS = 3;

function seconds(work: () => void): number {
  let best = Infinity;
  for (let i = 0; i < REPEATS; i++) {
    const start = performance.now();
    work();
    best = Math.min(best, (performance.now() - start) / 1000);
  }
  return best;
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
  const simulated = STEPS / 10;
  return [
    {
      name: 'patient alone, all subsystems on',
      value: simulated / patient,
      unit: 'times real time',
      baseline: simulated / bare,
      ratio: bare / patient,
    },
  ];
}
