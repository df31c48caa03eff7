/**
 * Anaphylaxis, bit for bit: hashes of courses. A change here is a change to how shipped anaphylaxis scenarios run, and needs a
 * reason. Last: room in the state for what faculty steer; every vital is as it was.
 */
import { describe, expect, it } from 'vitest';
import {
  applyInput,
  buildPatient,
  createState,
  createVitals,
  readVitals,
  stepPatient,
  touchedState,
} from '../src/index.ts';
import type { PatientInput, PatientProfile } from '../src/index.ts';

const PLAN: readonly [number, PatientInput][] = [
  [0.5, { kind: 'drive', drive: 'mediators', to: 0.9, overMs: 60_000 }],
  [3, { kind: 'dose', effect: 'adrenaline', route: 'im', amount: 200 }],
  [4, { kind: 'oxygen', device: 'non-rebreathe-mask', flowLPerMin: 15 }],
  [5, { kind: 'dose', effect: 'salbutamol', route: 'neb', amount: 5, overMs: 300_000 }],
  [6, { kind: 'dose', effect: 'crystalloid', route: 'iv', amount: 200, overMs: 300_000 }],
  [7, { kind: 'dose', effect: 'hydrocortisone', route: 'iv', amount: 100 }],
  [7.5, { kind: 'posture', posture: 'legs-raised' }],
  [9, { kind: 'drive', drive: 'upper-airway-oedema', to: 0.5, overMs: 60_000 }],
  [10, { kind: 'procedure', procedure: 'breaths-given', on: true }],
  [11, { kind: 'dose', effect: 'adrenaline', route: 'im', amount: 200, lagMs: 60_000 }],
  [14, { kind: 'drive', drive: 'beta-blockade', to: 0.8, overMs: 0 }],
];

/** FNV-1a over the bytes of every tenth state and its vitals. */
function fingerprint(who: PatientProfile, plan: readonly [number, PatientInput][]): string {
  const model = buildPatient(who);
  const s = createState(model);
  const v = createVitals();
  let hash = 0x811c9dc5;
  const eat = (bytes: Uint8Array) => {
    for (const b of bytes) hash = Math.imul(hash ^ b, 0x01000193);
  };
  let next = 0;
  for (let i = 0; i < 16 * 600; i++) {
    while (next < plan.length && plan[next]![0] * 600 <= i) applyInput(model, s, plan[next++]![1]);
    stepPatient(model, s, 100);
    if (i % 10 === 0) {
      const part = touchedState(s);
      eat(new Uint8Array(part.buffer, part.byteOffset, part.byteLength));
      eat(new Uint8Array(new Float64Array(Object.values(readVitals(model, s, v))).buffer));
    }
  }
  return (hash >>> 0).toString(16).padStart(8, '0');
}

const ill = (pattern: string, already: number) => [
  { disease: 'anaphylaxis', pattern, severity: 0.9, startedMinutesAgo: already },
];

const CASES: readonly [string, PatientProfile, boolean, string][] = [
  [
    'infant, food, untreated',
    { ageYears: 0.5, weightKg: 7.5, sex: 'male', illness: ill('food', 4) },
    false,
    'f13be186',
  ],
  ['child, food, treated', { ageYears: 7, weightKg: 23, sex: 'female', illness: ill('food', 0) }, true, '9f3fbff2'],
  [
    'child, no rash, untreated',
    { ageYears: 7, weightKg: 23, sex: 'female', illness: ill('no-rash', 0) },
    false,
    '2a277d84',
  ],
  [
    'teenager, airway-led, treated',
    { ageYears: 14, weightKg: 50, sex: 'male', illness: ill('airway-led', 2) },
    true,
    'a2b9acdd',
  ],
  ['adult, venom, untreated', { ageYears: 48, weightKg: 82, sex: 'male', illness: ill('venom', 0) }, false, '32bb2cbd'],
  ['adult, drug, treated', { ageYears: 48, weightKg: 82, sex: 'male', illness: ill('iv-drug', 0) }, true, 'da524ba0'],
];

describe('anaphylaxis is as it was', () => {
  it.each(CASES)('%s', (_name, who, treated, hash) => {
    expect(fingerprint(who, treated ? PLAN : [])).toBe(hash);
  });
});
