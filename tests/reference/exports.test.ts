/**
 * What leaves the site, against the published rules: RFC 4180, the FHIR R4 JSON schema (draft 6, as published by HL7 and
 * packaged by a general-purpose validator), LOINC and UCUM codes, and an independent xAPI statement validator.
 */
import { createRequire } from 'node:module';
import { beforeAll, describe, expect, it } from 'vitest';
import type { RunExport } from '@breathline/engine';
import {
  eventsCsv,
  fhirBundle,
  isoDuration,
  scoreRun,
  scorecardCsv,
  teamPseudonym,
  trackCsv,
  xapiStatements,
  type FhirResource,
} from '@breathline/debrief';
import { aRun } from './a-run.ts';

const require = createRequire(import.meta.url);
const FhirValidator = require('@asymmetrik/fhir-json-schema-validator') as new () => {
  validate(resource: unknown): readonly unknown[];
};
const { default: xapiErrors } = require('@learninglocker/xapi-validation') as {
  readonly default: (statement: unknown) => readonly unknown[];
};

let run: RunExport;
beforeAll(() => {
  run = aRun('wasp-sting-orchard', 'textbook', ['ecg', 'bp-cuff', 'capnography', 'thermometer', 'glucose-meter']);
});

/** An independent reader of RFC 4180, section 2 with its grammar. */
function readCsv(text: string): string[][] {
  const rows: string[][] = [];
  let row: string[] = [];
  let cell = '';
  let quoted = false;
  for (let i = 0; i < text.length; i++) {
    const c = text[i]!;
    if (quoted) {
      if (c === '"' && text[i + 1] === '"') {
        cell += '"';
        i++;
      } else if (c === '"') quoted = false;
      else cell += c;
    } else if (c === '"') quoted = true;
    else if (c === ',') {
      row.push(cell);
      cell = '';
    } else if (c === '\r' && text[i + 1] === '\n') {
      rows.push([...row, cell]);
      row = [];
      cell = '';
      i++;
    } else cell += c;
  }
  expect(cell, 'the last line ends with CRLF').toBe('');
  return rows;
}

describe('CSV (RFC 4180)', () => {
  it('every file reads back whole: the same number of cells in each row, and the caution on each', () => {
    const card = scoreRun(run);
    for (const text of [eventsCsv(run), scorecardCsv(card), trackCsv([{ name: 'run', track: run.track }])]) {
      const rows = readCsv(text);
      expect(rows.length).toBeGreaterThan(5);
      expect(new Set(rows.map((row) => row.length)).size).toBe(1);
      for (const row of rows.slice(1)) expect(row.at(-1)).toContain('NOT FOR CLINICAL USE');
      expect(/(?<!\r)\n/.test(text.replace(/"(?:[^"]|"")*"/g, ''))).toBe(false);
    }
    expect(readCsv(eventsCsv(run)).length).toBe(run.events.length + 1);
    expect(readCsv(scorecardCsv(card)).length).toBe(card.results.length + 1);
  });

  it('keeps words people typed to itself unless asked, and never hands a spreadsheet a formula', () => {
    const named: RunExport = {
      ...run,
      events: run.events.map((event, i) =>
        i === 1 ? { ...event, kind: 'note', text: '=HYPERLINK("x"), "quoted"\r\nnext' } : event,
      ) as RunExport['events'],
    };
    expect(eventsCsv(named)).not.toContain('HYPERLINK');
    const row = readCsv(eventsCsv(named, { withFreeText: true })).find((cells) => cells[8] === 'note')!;
    expect(JSON.parse(row[10]!)).toMatchObject({ text: '=HYPERLINK("x"), "quoted"\r\nnext' });
    expect(readCsv(trackCsv([{ name: '=1+1', track: run.track.slice(0, 2) }]))[1]![0]).toBe("'=1+1");
  });
});

describe('FHIR R4', () => {
  const resources = (bundle: FhirResource): FhirResource[] =>
    (bundle['entry'] as { resource: FhirResource }[]).map(({ resource }) => resource);

  it('the bundle fits the published schema, and the validator can say no', () => {
    const validator = new FhirValidator();
    const bundle = fhirBundle(run, { startedAt: '2026-01-05T09:00:00Z' });
    expect(validator.validate(bundle)).toEqual([]);
    expect(validator.validate({ ...bundle, type: 'not-a-type' }).length).toBeGreaterThan(0);
    const [, first] = resources(bundle);
    expect(validator.validate({ ...first, status: undefined, surprise: 1 }).length).toBeGreaterThan(0);
    expect(resources(bundle).length).toBeGreaterThan(10);
  });

  it('no resource can pass for a real record: the HTEST label on each, and a patient named SIM', () => {
    for (const resource of resources(fhirBundle(run, { startedAt: '2026-01-05T09:00:00Z' }))) {
      expect((resource['meta'] as { security: { code: string }[] }).security[0]!.code).toBe('HTEST');
      if (resource.resourceType === 'Patient') {
        expect((resource['name'] as { family: string }[])[0]!.family.startsWith('SIM')).toBe(true);
        expect(resource['birthDate']).toBeUndefined();
      }
    }
  });

  it('codes and units are those of LOINC and UCUM, to the letter', () => {
    // R4 vital-signs profile (hl7.org/fhir/R4/observation-vitalsigns.html): code -> unit.
    const table: Record<string, string> = {
      '8867-4': '/min',
      '9279-1': '/min',
      '2708-6': '%',
      '8310-5': 'Cel',
      '8480-6': 'mm[Hg]',
      '8462-4': 'mm[Hg]',
      '8478-0': 'mm[Hg]',
      '19891-1': 'mm[Hg]',
      '14743-9': 'mmol/L',
    };
    const seen = new Set<string>();
    for (const resource of resources(fhirBundle(run, { startedAt: '2026-01-05T09:00:00Z' }))) {
      if (resource.resourceType !== 'Observation') continue;
      const parts = (resource['component'] as FhirResource[] | undefined) ?? [resource];
      if (resource['component'] !== undefined) {
        expect((resource['code'] as { coding: { code: string }[] }).coding[0]!.code).toBe('85354-9');
        expect(resource['valueQuantity']).toBeUndefined();
      }
      for (const one of parts) {
        const { code } = (one['code'] as { coding: { code: string }[] }).coding[0]!;
        const quantity = one['valueQuantity'] as { code: string; system: string; value: number } | undefined;
        expect(quantity === undefined).toBe(one['dataAbsentReason'] !== undefined);
        if (quantity === undefined) continue;
        seen.add(code);
        expect(quantity.code).toBe(table[code]);
        expect(quantity.system).toBe('http://unitsofmeasure.org');
        if (code !== '9279-1' && code !== '19891-1') expect(quantity.value).toBeGreaterThan(0);
      }
      if (JSON.stringify(resource['code']).includes('2708-6'))
        expect(JSON.stringify(resource['code'])).toContain('59408-5');
    }
    expect([...seen]).toEqual(expect.arrayContaining(['8867-4', '9279-1', '2708-6', '8480-6', '8462-4']));
  });
});

describe('xAPI', () => {
  const options = { homePage: 'https://sim.example.org', pseudonym: 'team-7f3a' };
  const errorsOf = (value: unknown): string[] => xapiErrors(value).map((error) => JSON.stringify(error));

  it('two imported rehearsals are two teams, and neither name tells the run', () => {
    const names = ['rehearsal-asthma-late', 'rehearsal-opioid-late'].map(teamPseudonym);
    expect(new Set(names).size).toBe(2);
    for (const name of names) expect(name).toMatch(/^team-[0-9a-f]{8}-[0-9a-f]{4}$/);
  });

  it('every statement passes an independent validator, which can say no', () => {
    const statements = xapiStatements(run, scoreRun(run), options);
    expect(statements.length).toBeGreaterThan(5);
    for (const statement of statements) expect(errorsOf(JSON.parse(JSON.stringify(statement)))).toEqual([]);
    expect(errorsOf({ ...statements[0], verb: { id: 'no scheme' } }).length).toBeGreaterThan(0);
    expect(errorsOf({ ...statements[0], extra: 1 }).length).toBeGreaterThan(0);
  });

  it('rules of the specification: one account, no mail, no null, no future, stable ids, score within -1 to 1', () => {
    const card = scoreRun(run);
    const statements = xapiStatements(run, card, options);
    expect(xapiStatements(run, card, options)).toEqual(statements);
    expect(new Set(statements.map(({ id }) => id)).size).toBe(statements.length);
    const text = JSON.stringify(statements);
    expect(text).not.toContain('mailto');
    expect(text).not.toContain('null');
    for (const { actor, timestamp, result, context } of statements) {
      expect(Object.keys(actor).sort()).toEqual(['account', 'objectType']);
      expect(timestamp).toMatch(/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?Z$/);
      expect(Date.parse(timestamp)).toBeLessThan(Date.now());
      if (result?.score) expect(Math.abs(result.score.scaled)).toBeLessThanOrEqual(1);
      if (result?.duration) expect(result.duration).toMatch(/^PT(\d+H)?(\d+M)?(\d+(\.\d{1,2})?S)?$/);
      expect(context.registration).toBe(statements[0]!.context.registration);
    }
    expect(statements.map(({ timestamp }) => timestamp)).toEqual(
      [...statements.map(({ timestamp }) => timestamp)].sort(),
    );
  });

  it('how long an act was in coming is no duration of the act', () => {
    const card = scoreRun(run);
    const acts = xapiStatements(run, card, options).filter(({ object }) => /urn:breathline:action:/.test(object.id));
    expect(acts.length).toBeGreaterThan(2);
    for (const { result } of acts) expect(result?.duration).toBeUndefined();
    const zeroMs = Date.parse(xapiStatements(run, card, options)[0]!.timestamp);
    const late = acts.filter(({ timestamp }) => Date.parse(timestamp) >= zeroMs + card.clocks.couldHaveSeenMs!);
    expect(late.length).toBeGreaterThan(0);
    for (const { result, timestamp } of late)
      expect(result?.extensions?.['urn:breathline:ext:since-could-have-seen']).toBe(
        isoDuration(Date.parse(timestamp) - zeroMs - card.clocks.couldHaveSeenMs!),
      );
  });

  it('durations are written one way (ISO 8601)', () => {
    expect([0, 390_000, 3_600_000, 1234, 59_999].map(isoDuration)).toEqual([
      'PT0S',
      'PT6M30S',
      'PT1H',
      'PT1.23S',
      'PT1M',
    ]);
  });
});

it('nothing here reads the clock: exporting twice gives the same bytes', () => {
  expect(fhirBundle(run, { startedAt: '2026-01-05T09:00:00Z' })).toEqual(
    fhirBundle(run, { startedAt: '2026-01-05T09:00:00Z' }),
  );
});
