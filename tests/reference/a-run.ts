/** A whole run of a shipped scenario by its textbook rehearsal, as an export; for tests that need one. */
import { readFileSync, readdirSync } from 'node:fs';
import { buildLibrary, readScenario, type DeviceId } from '@breathline/scenario';
import { buildExport, rehearse, type RunDefinition, type RunExport } from '@breathline/engine';

// From where tests and benches are started, which is the top of the repository; a bundled bench has no place of its own.
const folder = `${process.cwd()}/scenarios/`;
const texts = (name: string) =>
  readdirSync(`${folder}${name}`)
    .filter((file) => file.endsWith('.yaml'))
    .map((file) => ({ file, text: readFileSync(`${folder}${name}/${file}`, 'utf8') }));

/** The definition of a shipped scenario; throws when it does not read. */
export function shippedDefinition(id: string): RunDefinition {
  const library = buildLibrary({ formularies: texts('formulary'), packs: texts('guidelines') });
  if (!library.ok) throw new Error('the shipped library does not build');
  const read = readScenario(readFileSync(`${folder}${id}.yaml`, 'utf8'), { file: id, library: library.value });
  if (!read.ok) throw new Error(`${id} does not read`);
  return { scenario: read.value, library: library.value, packId: read.value.guidelines[0]!, seed: 1 };
}

/** `attach`: devices put on a second into the run, besides what the rehearsal does. */
export function aRun(
  id = 'wasp-sting-orchard',
  rehearsalName = 'textbook',
  attach: readonly DeviceId[] = [],
): RunExport {
  const definition = shippedDefinition(id);
  const { rehearsals } = definition.scenario;
  const rehearsal = rehearsals.find(({ name }) => name === rehearsalName) ?? rehearsals[0]!;
  const acts = [
    ...attach.map((device) => ({ atMs: 1000, action: { kind: 'attach', device } as const })),
    ...rehearsal.acts,
  ];
  const { events, derived, track } = rehearse(definition, { ...rehearsal, acts });
  const parts = { runId: id, createdAt: '2026-01-01T00:00:00.000Z', definition };
  if (!attach.includes('bp-cuff')) return buildExport({ ...parts, events, derived, track });
  // A cuff measures when it is pressed, or by an interval; a rehearsal has no act for that.
  const interval = {
    kind: 'cuff-interval',
    everyMs: 60_000,
    seq: events.reduce((most, { seq }) => Math.max(most, seq), 0) + 1,
    take: 1,
    appliedAtMs: 2000,
    occurredAtMs: 2000,
    wallTime: '2026-01-01T00:00:02.000Z',
    by: { role: 'rehearsal' },
  } as const;
  const at = events.findIndex(({ appliedAtMs }) => appliedAtMs > 2000);
  return buildExport({ ...parts, events: [...events.slice(0, at), interval, ...events.slice(at)] });
}
