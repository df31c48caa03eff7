/** Whether a run is under way on this page, and word when that changes or a line to the server came up. */
import type { RunPhase } from '@breathline/engine';
import type { AnyFrame } from './line-types.ts';

const phases = new Map<object, RunPhase>();
const ears = new Set<() => void>();

const tell = (): void => {
  for (const ear of [...ears]) ear();
};

/** A line to a run says in which phase it is; null = the line is closed for good. */
export function tellPhase(line: object, phase: RunPhase | null): void {
  if ((phases.get(line) ?? null) === phase) return;
  if (phase === null) phases.delete(line);
  else phases.set(line, phase);
  tell();
}

/** What a frame says of the phase; null = the line shows no run any more. */
export function tellFrame(line: object, frame: AnyFrame | null): void {
  // A frame that lacks it tells nothing: the line itself must not suffer.
  const view: { readonly phase?: RunPhase } | undefined = frame?.t === 'faculty' ? frame.view : (frame ?? undefined);
  tellPhase(line, view?.phase ?? null);
}

/** A line came up: the server behind it may be another one than before. */
export function tellLineUp(): void {
  tell();
}

/** Some run of this page has begun and has not ended. */
export function runUnderWay(): boolean {
  return [...phases.values()].some((phase) => phase !== 'ready' && phase !== 'ended');
}

/** Calls `ear` from now on; returns what ends that. */
export function whenTold(ear: () => void): () => void {
  ears.add(ear);
  return () => void ears.delete(ear);
}
