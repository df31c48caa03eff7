/** Checks a file that says it is an exported run, and names the very field of the very log line that is wrong. */
import { check, type Checked } from './check.ts';
import { oddTextAt, oddTextMessage } from './plain-text.ts';
import { EVENT_SCHEMAS, RunExportSchema } from './schemas.ts';

const isRecord = (value: unknown): value is Record<string, unknown> => typeof value === 'object' && value !== null;

/** "events.3 is an object: expected one of twenty-four objects" helps nobody: ask the line's own kind. */
const ofLine = (file: unknown, message: string): string => {
  const at = /^events\.(\d+) is /.exec(message)?.[1];
  if (at === undefined || !isRecord(file) || !Array.isArray(file['events'])) return message;
  const event: unknown = (file['events'] as unknown[])[Number(at)];
  const kind = isRecord(event) ? event['kind'] : undefined;
  if (typeof kind !== 'string') return `events.${at} has no kind of event.`;
  if (!Object.hasOwn(EVENT_SCHEMAS, kind)) return `events.${at}: there is no kind of event "${kind.slice(0, 60)}".`;
  const own = check(EVENT_SCHEMAS[kind as keyof typeof EVENT_SCHEMAS], event);
  return own.ok ? message : `events.${at} ("${kind}"): ${own.message}`;
};

/** Checks parsed JSON; the first thing wrong comes back as one sentence. */
export const checkRunExport = (file: unknown): Checked<(typeof RunExportSchema)['static']> => {
  // Said before all else: in a file of another version nearly every line would be complained about.
  const version = typeof file === 'object' && file !== null ? (file as { formatVersion?: unknown }).formatVersion : 1;
  if (version !== undefined && version !== 1) {
    const found = typeof version === 'number' ? String(version) : 'that is no number';
    return { ok: false, message: `The file is of format version ${found}; this server reads version 1.` };
  }
  const whole = check(RunExportSchema, file);
  if (!whole.ok) return { ok: false, message: ofLine(file, whole.message) };
  const odd = oddTextAt(file);
  return odd === null ? whole : { ok: false, message: oddTextMessage(odd) };
};
