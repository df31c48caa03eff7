/** Tests asked for and what came back: waiting, back and to be read out, or read out. */
import { resultName, type RunView } from '@breathline/engine';
import type { LogLine } from '@breathline/protocol';
import { resultParts } from '../result-parts.ts';
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

/** Newest first. A result counts as read out once a mark in the log says so. */
export function resultRows(results: RunView['results'], log: readonly LogLine[]): readonly ResultRow[] {
  const marks = new Set(
    log.flatMap(({ event, withdrawnBy }) =>
      event.kind === 'mark' && withdrawnBy === null && event.label !== undefined ? [event.label] : [],
    ),
  );
  return (results ?? [])
    .map((result): ResultRow => {
      const name = resultName(result.name);
      const mark = `${name} of ${clockText(result.sampledAtMs)} read out`;
      const read = result.text === null ? null : resultParts(result.text);
      return {
        seq: result.seq,
        name,
        askedAtMs: result.sampledAtMs,
        dueAtMs: result.dueAtMs,
        status: result.text === null ? 'waiting' : marks.has(mark) ? 'read' : 'back',
        title: read && (read.title === '' ? name : read.title),
        parts: read?.parts ?? [],
        mark,
      };
    })
    .sort((a, b) => b.askedAtMs - a.askedAtMs || b.seq - a.seq);
}
