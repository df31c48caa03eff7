import type { Derived, EventBody, RunDefinition, RunEvent, Simulation } from '../src/index.ts';
import { createRun } from '../src/index.ts';
import { START } from './fixtures.ts';

/** A started run with a helper that applies bodies at the present time. */
export function started(definition: RunDefinition): {
  run: Simulation;
  put: (body: EventBody, extra?: Partial<RunEvent>) => number;
} {
  const run = createRun(definition);
  let seq = 0;
  const put = (body: EventBody, extra: Partial<RunEvent> = {}): number => {
    seq++;
    run.apply({
      seq,
      take: 1,
      appliedAtMs: run.clockMs,
      occurredAtMs: run.clockMs,
      wallTime: '2026-01-01T00:00:00.000Z',
      by: { role: 'lead' },
      ...body,
      ...extra,
    } as RunEvent);
    return seq;
  };
  put(START);
  return { run, put };
}

export const entered = (run: Simulation, thread?: string): [string, number][] =>
  run.derived.flatMap((fact): [string, number][] =>
    fact.kind === 'state-entered' && (thread === undefined || fact.thread === thread) ? [[fact.state, fact.atMs]] : [],
  );

export const kinds = (derived: readonly Derived[]): string[] => derived.map((fact) => fact.kind);
