/** Tests asked for and what came back: waiting, back and to be read out, or read out. */
import type { RunView } from '@breathline/engine';
import type { LogLine } from '@breathline/protocol';
import { clockText } from './format.ts';

export interface ResultRow {
  readonly seq: number;
  readonly name: string;
  readonly askedAtMs: number;
  readonly dueAtMs: number;
  readonly status: 'waiting' | 'back' | 'read';
  /** "Arterial gas"; null while waiting. */
  readonly title: string | null;
  /** The values one by one, as they are read out; empty while waiting. */
  readonly parts: readonly { readonly label: string; readonly value: string }[];
  /** The mark that says it was read out. */
  readonly mark: string;
}

/** "PCO2 6.0 kPa (45 mmHg)" in its two halves. */
function part(text: string): { label: string; value: string } {
  // A digit inside a name (PCO2) is not where the value begins.
  const at = text.search(/\s[−-]?\d/);
  return at <= 0 ? { label: '', value: text } : { label: text.slice(0, at), value: text.slice(at + 1) };
}

/** Newest first. A result counts as read out once a mark in the log says so. */
export function resultRows(results: RunView['results'], log: readonly LogLine[]): readonly ResultRow[] {
  const marks = new Set(
    log.flatMap(({ event, withdrawnBy }) =>
      event.kind === 'mark' && withdrawnBy === null && event.label !== undefined ? [event.label] : [],
    ),
  );
  return (results ?? [])
    .map((result): ResultRow => {
      // The catalogue names the act ("Blood gas sent"); what comes back is the thing.
      const name = result.name.replace(/ (?:sent|taken)$/, '');
      const mark = `${name} of ${clockText(result.sampledAtMs)} read out`;
      const [title = '', rest = ''] = result.text === null ? [] : splitOnce(result.text, ': ');
      return {
        seq: result.seq,
        name,
        askedAtMs: result.sampledAtMs,
        dueAtMs: result.dueAtMs,
        status: result.text === null ? 'waiting' : marks.has(mark) ? 'read' : 'back',
        title: result.text === null ? null : rest === '' ? name : title,
        parts: result.text === null ? [] : (rest === '' ? title : rest).split(', ').map(part),
        mark,
      };
    })
    .sort((a, b) => b.askedAtMs - a.askedAtMs || b.seq - a.seq);
}

function splitOnce(text: string, at: string): [string, string] {
  const i = text.indexOf(at);
  return i < 0 ? [text, ''] : [text.slice(0, i), text.slice(i + at.length)];
}
