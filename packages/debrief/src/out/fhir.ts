/**
 * The shown vitals of a run as HL7 FHIR R4 Observations, for integration tests only. Every resource carries the HTEST
 * label and every patient's family name begins with "SIM", so that none can pass for a real record. Off unless asked for.
 * LOINC codes (loinc.org) and UCUM units (ucum.org) as in the R4 vital-signs profile; glucose is a laboratory value.
 */
import { v5 as uuidV5 } from 'uuid';
import { isoOf, wallMs } from './wall-time.ts';
import { exportOfTake, type RunExport, type TrackRow } from '@breathline/engine';
import type { DeviceId } from '@breathline/scenario';

export interface FhirResource {
  readonly resourceType: string;
  readonly [field: string]: unknown;
}

const NAMESPACE = uuidV5('breathline', uuidV5.DNS);
const LOINC = 'http://loinc.org';
const UCUM = 'http://unitsofmeasure.org';
const TEST_LABEL = {
  security: [
    { system: 'http://terminology.hl7.org/CodeSystem/v3-ActReason', code: 'HTEST', display: 'test health data' },
  ],
  tag: [{ system: 'urn:breathline:tag', code: 'simulation', display: 'Simulated patient – not for clinical use' }],
} as const;

interface Vital {
  readonly id: string;
  readonly text: string;
  readonly codes: readonly (readonly [code: string, display: string])[];
  readonly unit: string;
  readonly ucum: string;
  readonly category: 'vital-signs' | 'laboratory';
  /** On at least one of these, or nothing is written. */
  readonly devices: readonly DeviceId[];
  readonly value: (row: TrackRow) => number | null;
}

export const FHIR_VITALS: readonly Vital[] = [
  {
    id: 'heart-rate',
    text: 'Heart rate',
    codes: [['8867-4', 'Heart rate']],
    unit: 'beats/minute',
    ucum: '/min',
    category: 'vital-signs',
    devices: ['ecg', 'oximeter'],
    value: (row) => row.shown.heartRatePerMin ?? row.shown.pulsePerMin,
  },
  {
    id: 'respiratory-rate',
    text: 'Respiratory rate',
    codes: [['9279-1', 'Respiratory rate']],
    unit: 'breaths/minute',
    ucum: '/min',
    category: 'vital-signs',
    devices: ['ecg', 'capnography'],
    value: (row) => row.shown.respiratoryRatePerMin,
  },
  {
    id: 'oxygen-saturation',
    text: 'Oxygen saturation by pulse oximetry',
    codes: [
      ['2708-6', 'Oxygen saturation in Arterial blood'],
      ['59408-5', 'Oxygen saturation in Arterial blood by Pulse oximetry'],
    ],
    unit: '%',
    ucum: '%',
    category: 'vital-signs',
    devices: ['oximeter'],
    value: (row) => row.shown.spo2Percent,
  },
  {
    id: 'end-tidal-co2',
    text: 'End-tidal carbon dioxide, partial pressure',
    codes: [['19891-1', 'Carbon dioxide [Partial pressure] in Exhaled gas --at end expiration']],
    unit: 'mmHg',
    ucum: 'mm[Hg]',
    category: 'vital-signs',
    devices: ['capnography'],
    value: (row) => row.shown.etco2MmHg,
  },
  {
    id: 'temperature',
    text: 'Body temperature',
    codes: [['8310-5', 'Body temperature']],
    unit: 'C',
    ucum: 'Cel',
    category: 'vital-signs',
    devices: ['thermometer'],
    value: (row) => row.shown.temperatureCelsius,
  },
  {
    id: 'glucose',
    text: 'Glucose in capillary blood by glucometer',
    codes: [['14743-9', 'Glucose [Moles/volume] in Capillary blood by Glucometer']],
    unit: 'mmol/L',
    ucum: 'mmol/L',
    category: 'laboratory',
    devices: ['glucose-meter'],
    value: (row) => row.shown.glucoseMmolPerL,
  },
];

export interface FhirOptions {
  /** ISO 8601 date and time, with zone, of run-clock zero. */
  readonly startedAt: string;
  /** Seconds between observations; default 60. */
  readonly everyS?: number;
}

/**
 * One collection Bundle: a test patient and what the probes showed in the scored take, every so often. Nothing is sent for a
 * probe never on. Two takes of one run share no id but their patient's.
 */
export function fhirBundle(whole: RunExport, options: FhirOptions): FhirResource {
  const run = exportOfTake(whole);
  const take = run.scoredTake === 1 ? '' : `${run.scoredTake}/`;
  const zero = wallMs(options.startedAt);
  const everyMs = (options.everyS ?? 60) * 1000;
  const idOf = (key: string): string => uuidV5(`${run.runId}/fhir/${key}`, NAMESPACE);
  const id = (key: string): string => idOf(`${take}${key}`);
  const patientId = idOf('patient');
  const subject = { reference: `urn:uuid:${patientId}`, display: 'Simulated patient' };
  const patient: FhirResource = {
    resourceType: 'Patient',
    id: patientId,
    meta: TEST_LABEL,
    active: false,
    name: [{ use: 'anonymous', family: 'SIM Breathline', given: ['SIM'] }],
  };
  const rows = run.track.filter(({ atMs }) => atMs % everyMs === 0);
  const observation = (key: string, atMs: number, category: string, rest: Record<string, unknown>): FhirResource => ({
    resourceType: 'Observation',
    id: id(key),
    meta: TEST_LABEL,
    status: 'final',
    category: [
      {
        coding: [{ system: 'http://terminology.hl7.org/CodeSystem/observation-category', code: category }],
      },
    ],
    subject,
    effectiveDateTime: isoOf(zero + atMs),
    note: [{ text: 'SIMULATION – NOT FOR CLINICAL USE' }],
    ...rest,
  });
  const observations: FhirResource[] = [];
  for (const row of rows) {
    for (const vital of FHIR_VITALS) {
      if (!vital.devices.some((device) => row.shown.attached.includes(device))) continue;
      const value = vital.value(row);
      observations.push(
        observation(`${vital.id}/${row.atMs}`, row.atMs, vital.category, {
          code: { coding: vital.codes.map(([code, display]) => ({ system: LOINC, code, display })), text: vital.text },
          ...(value === null
            ? { dataAbsentReason: absent() }
            : { valueQuantity: quantity(value, vital.unit, vital.ucum) }),
        }),
      );
    }
  }
  const seen = new Set<number>();
  for (const row of run.track) {
    const cuff = row.shown.bloodPressure;
    if (cuff === null || cuff === undefined || seen.has(cuff.takenAtMs)) continue;
    seen.add(cuff.takenAtMs);
    observations.push(
      observation(`pressure/${cuff.takenAtMs}`, cuff.takenAtMs, 'vital-signs', {
        code: {
          coding: [{ system: LOINC, code: '85354-9', display: 'Blood pressure panel with all children optional' }],
          text: 'Blood pressure',
        },
        component: [
          component('8480-6', 'Systolic blood pressure', cuff.systolicMmHg),
          component('8462-4', 'Diastolic blood pressure', cuff.diastolicMmHg),
          component('8478-0', 'Mean blood pressure', cuff.meanMmHg),
        ],
      }),
    );
  }
  return {
    resourceType: 'Bundle',
    id: id('bundle'),
    meta: TEST_LABEL,
    type: 'collection',
    timestamp: isoOf(zero),
    entry: [patient, ...observations].map((resource) => ({ fullUrl: `urn:uuid:${String(resource['id'])}`, resource })),
  };
}

const quantity = (value: number, unit: string, code: string) => ({
  value: Math.round(value * 10) / 10,
  unit,
  system: UCUM,
  code,
});

/** A probe that is on and shows nothing: the reason, never a nought. */
const absent = () => ({
  coding: [{ system: 'http://terminology.hl7.org/CodeSystem/data-absent-reason', code: 'error', display: 'Error' }],
});

const component = (code: string, display: string, value: number | null) => ({
  code: { coding: [{ system: LOINC, code, display }] },
  ...(value === null ? { dataAbsentReason: absent() } : { valueQuantity: quantity(value, 'mmHg', 'mm[Hg]') }),
});
