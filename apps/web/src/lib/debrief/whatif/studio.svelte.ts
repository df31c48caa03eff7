/** What if, on this screen: what has been changed, the newest answer, and whether the group may see it. */
import { effectiveEvents, type Difference, type RunEvent, type RunExport, type WhatIfEdit } from '@breathline/engine';
import { interventionName } from '@breathline/debrief';
import { doseUnit } from '@breathline/scenario';
import { startWorker } from './start-worker.ts';
import type { Answer, FromWorker, ToWorker } from './messages.ts';

export interface Act {
  readonly seq: number;
  /** When it took effect, ms. */
  readonly atMs: number;
  readonly name: string;
  readonly amount: number | null;
  readonly unit: string;
}

export interface Change {
  readonly byMs: number;
  readonly dropped: boolean;
  /** Null: as given. */
  readonly amount: number | null;
}
export const UNCHANGED: Change = { byMs: 0, dropped: false, amount: null };

/** What people gave and did that counted in the scored take, in order of effect. */
export function actsOf(run: RunExport): readonly Act[] {
  const { library } = run.definition;
  return effectiveEvents(run.events, run.scoredTake).flatMap((event: RunEvent): Act[] => {
    if (event.kind !== 'intervention' || event.step !== 'given') return [];
    const { seq, appliedAtMs: atMs, amount } = event;
    const item = library.interventions.find((one) => one.id === event.intervention);
    const unit = doseUnit(item, event.unit);
    return [{ seq, atMs, name: interventionName(library, event.intervention), amount, unit }];
  });
}

export class WhatIfStudio {
  readonly take: number;
  readonly acts: readonly Act[];
  changes = $state.raw<Readonly<Record<number, Change>>>({});
  picked = $state<number | null>(null);
  answer = $state.raw<Answer | null>(null);
  /** Working out the newest question. */
  busy = $state(false);
  widened = $state.raw<{ readonly done: number; readonly of: number } | null>(null);
  refused = $state<string | null>(null);
  /** From asking to the picture, ms, as the person waited. */
  waitedMs = $state<number | null>(null);
  shared = $state(false);

  readonly #endMs: number;
  readonly #worker: Worker;
  #id = 0;
  #askedAt = 0;
  #due = 0;

  constructor(run: RunExport) {
    this.take = run.scoredTake;
    this.acts = actsOf(run);
    this.#endMs = run.track.at(-1)?.atMs ?? 0;
    this.#worker = startWorker();
    this.#worker.addEventListener('message', ({ data }: MessageEvent<FromWorker>) => this.#hear(data));
    this.#send({ t: 'load', run });
  }

  get act(): Act | null {
    return this.acts.find(({ seq }) => seq === this.picked) ?? null;
  }
  change(seq: number): Change {
    return this.changes[seq] ?? UNCHANGED;
  }
  /** The changes as the engine takes them. Worked out when read: a derived would die with the tab that first asked. */
  get edits(): readonly WhatIfEdit[] {
    return Object.entries(this.changes).flatMap(([key, { byMs, dropped, amount }]): WhatIfEdit[] => {
      const seq = Number(key);
      if (dropped) return [{ kind: 'drop', seq }];
      return [
        ...(byMs === 0 ? [] : [{ kind: 'move', seq, byMs } as const]),
        ...(amount === null ? [] : [{ kind: 'dose', seq, amount } as const]),
      ];
    });
  }

  /** Changes an act; kept inside the run. */
  edit(seq: number, part: Partial<Change>): void {
    const act = this.acts.find((one) => one.seq === seq);
    if (!act) return;
    const next = { ...this.change(seq), ...part };
    const byMs = Math.round(Math.min(this.#endMs - act.atMs, Math.max(-act.atMs, next.byMs)) / 100) * 100;
    const amount = next.amount === act.amount ? null : next.amount;
    this.changes = { ...this.changes, [seq]: { ...next, byMs, amount } };
    this.shared = false;
    this.#ask();
  }

  /** Back to the run as it went. */
  reset(): void {
    this.changes = {};
    this.answer = null;
    this.widened = null;
    this.refused = null;
    this.busy = false;
    this.shared = false;
    this.#id += 1;
    cancelAnimationFrame(this.#due);
  }

  close(): void {
    this.#worker.terminate();
  }

  /** At most one question a frame, however fast the finger. */
  #ask(): void {
    cancelAnimationFrame(this.#due);
    if (this.edits.length === 0) return this.reset();
    this.busy = true;
    this.#askedAt = performance.now();
    this.#due = requestAnimationFrame(() => this.#send({ t: 'ask', id: ++this.#id, edits: this.edits }));
  }

  #send(message: ToWorker): void {
    this.#worker.postMessage(message);
  }

  #hear(message: FromWorker): void {
    if (message.id !== this.#id) return;
    this.refused = null;
    switch (message.t) {
      case 'answer':
        this.answer = message.answer;
        this.widened = null;
        this.busy = false;
        this.waitedMs = performance.now() - this.#askedAt;
        break;
      case 'wider':
        this.widened = { done: message.done, of: message.of };
        if (this.answer) this.answer = { ...this.answer, differences: message.differences };
        break;
      case 'refused':
        this.refused = message.message;
        this.busy = false;
    }
  }
}

export type { Difference };
