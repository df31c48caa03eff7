/** One debrief on this screen: the exported run, its card and picture, and the team's answers as they are given. */
import {
  buildTimeline,
  findPack,
  reviewRun,
  scoreRun,
  type Review,
  type Scorecard,
  type TargetResult,
  type TimelineModel,
} from '@breathline/debrief';
import { lastTake } from '@breathline/engine';
import { api, asApiError, newClientId, type ApiError, type RunExport } from '$lib/api';
import { localEvent, type Debriefed } from './local-event.ts';
import type { SharedWhatIf } from './room/picture.ts';
import type { OtherLines } from './whatif/lines.ts';
import { WhatIfStudio } from './whatif/studio.svelte.ts';

export type Answer = 'done' | 'not-done' | 'unsure';

export class DebriefSession {
  readonly runId: string;
  run = $state.raw<RunExport | null>(null);
  problem = $state.raw<ApiError | null>(null);
  /** The pack scored against; the run's own until another is chosen. */
  packId = $state<string | null>(null);
  /** Targets whose answer is on its way to the server. */
  saving = $state.raw<readonly string[]>([]);
  /** Answers the server would not keep, with its reason. They count on this screen only. */
  unsaved = $state.raw<Readonly<Record<string, ApiError>>>({});

  /** Made when first asked for: it holds a worker. */
  #studio: WhatIfStudio | null = null;
  /** What the server would not keep of the rest. */
  unkept = $state.raw<readonly ApiError[]>([]);
  #clientId = newClientId();
  #n = 0;

  /** The what-if that faculty have shared, as the room's screen shows it. */
  roomWhatIf = $state.raw<SharedWhatIf | null>(null);
  /** The take looked at; the run's own choice until another is chosen. */
  take = $state<number | null>(null);
  /** The run with the chosen take as the scored one. */
  chosen: RunExport | null = $derived(this.run && { ...this.run, scoredTake: this.take ?? this.run.scoredTake });
  card: Scorecard | null = $derived.by(() => {
    if (!this.chosen) return null;
    return scoreRun(this.chosen, { packId: this.packId ?? this.chosen.definition.packId });
  });
  review: Review | null = $derived.by(() => {
    if (!this.chosen || !this.card) return null;
    return reviewRun(this.chosen, { packId: this.card.packId, card: this.card });
  });
  model: TimelineModel | null = $derived.by(() => {
    if (!this.chosen || !this.card) return null;
    return buildTimeline(this.chosen, this.card);
  });
  /** Every line that was asked about or should be, in the pack's order, so that an answer does not make it vanish. */
  questions: readonly TargetResult[] = $derived.by(() => {
    const open = this.card?.toReconcile.map((one) => one.target) ?? [];
    return this.card?.results.filter((one) => open.includes(one.target.id) || one.reconciled) ?? [];
  });

  constructor(runId: string) {
    this.runId = runId;
  }

  async load(): Promise<void> {
    this.problem = null;
    try {
      const run = await api.export(this.runId);
      // A run without its pack should fail here, in words, not while drawing.
      findPack(run);
      this.run = run;
    } catch (thrown) {
      this.problem = asApiError(thrown);
    }
  }

  /** The what-if of this run. */
  studio(run: RunExport): WhatIfStudio {
    if (this.#studio?.take !== run.scoredTake) this.close();
    return (this.#studio ??= new WhatIfStudio(run));
  }

  /** The other course once faculty have shared it. */
  get sharedWhatIf(): OtherLines | null {
    const { shared, answer } = this.#studio ?? {};
    return shared && answer && !answer.identical ? answer.alternative : null;
  }

  /** Another take: what was shared of the one before is not about it. */
  look(take: number): void {
    this.take = take;
    this.roomWhatIf = null;
  }

  close(): void {
    this.#studio?.close();
    this.#studio = null;
  }

  /** Faculty judge a line of the take looked at otherwise. */
  adjust(target: string, result: string, reason: string): void {
    void this.record({ kind: 'line-adjusted', target, result, reason, ...this.#about });
  }

  /** The take looked at, where it is not the last one played: a log line stands in that one. */
  get #about(): { readonly ofTake?: number } {
    const { run, chosen } = this;
    return run && chosen && chosen.scoredTake !== lastTake(run.events) ? { ofTake: chosen.scoredTake } : {};
  }

  /** Records something said or judged in the debrief: at once on this screen, then on the server's disk. Null: kept. */
  async record(body: Debriefed): Promise<ApiError | null> {
    if (!this.run) return null;
    this.run = { ...this.run, events: [...this.run.events, localEvent(this.run, body)] };
    try {
      await api.command(this.runId, { t: 'command', clientId: this.#clientId, n: ++this.#n, command: body });
      return null;
    } catch (thrown) {
      const problem = asApiError(thrown);
      this.unkept = [...this.unkept, problem];
      return problem;
    }
  }

  /** Records an answer: at once on this screen, then on the server's disk. */
  async answer(target: string, answer: Answer, atMs: number | null): Promise<void> {
    const run = this.run;
    if (!run) return;
    const n = ++this.#n;
    const body = { kind: 'reconciled' as const, target, answer, atMs, ...this.#about };
    this.run = { ...run, events: [...run.events, localEvent(run, body)] };
    this.saving = [...this.saving, target];
    try {
      await api.command(this.runId, { t: 'command', clientId: this.#clientId, n, command: body });
      this.unsaved = Object.fromEntries(Object.entries(this.unsaved).filter(([id]) => id !== target));
    } catch (thrown) {
      this.unsaved = { ...this.unsaved, [target]: asApiError(thrown) };
    } finally {
      this.saving = this.saving.filter((id) => id !== target);
    }
  }
}
