/** One debrief on this screen: the exported run, its card and picture, and what is written down and answered as it is said. */
import {
  buildTimeline,
  findPack,
  reviewRun,
  scoreRun,
  type CircumstanceAnswer,
  type Review,
  type Scorecard,
  type TargetResult,
  type TimelineModel,
} from '@breathline/debrief';
import { lastTake } from '@breathline/engine';
import { api, asApiError, type ApiError, type RunExport } from '$lib/api';
import { FollowUps } from './follow-ups.svelte.ts';
import { boardOf, type Board } from './guide/board.ts';
import { withLocal, type Debriefed } from './local-event.ts';
import { withNotes } from './note-marks.ts';
import { DebriefPost } from './post.svelte.ts';
import { Player } from './replay/player.svelte.ts';
import { RoomRecording } from './replay/room-recording.svelte.ts';
import type { SharedWhatIf } from './room/picture.ts';
import type { OtherLines } from './whatif/lines.ts';
import { WhatIfStudio } from './whatif/studio.svelte.ts';

export type Answer = 'done' | 'not-done' | 'unsure';

/** What other screens have written is looked for this often, ms. */
const LOOK_MS = 3_000;

export class DebriefSession {
  readonly runId: string;
  problem = $state.raw<ApiError | null>(null);
  /** The pack scored against; the run's own until another is chosen. */
  packId = $state<string | null>(null);
  readonly post: DebriefPost;
  readonly followUps: FollowUps;
  /** What to add to this device's clock to get the server's wall, ms. */
  offsetMs = $state(0);

  /** Made when first asked for: it holds a worker. */
  #studio: WhatIfStudio | null = null;
  #player: Player | null = null;
  #recordings: { readonly take: number; readonly recording: RoomRecording }[] = [];
  /** As the server has it. */
  #base = $state.raw<RunExport | null>(null);
  #looking = false;
  /** Round trip of the time signal the offset was taken from, ms. */
  #bestTripMs = Infinity;

  /** The what-if that faculty have shared, as the room's screen shows it. */
  roomWhatIf = $state.raw<SharedWhatIf | null>(null);
  /** The take looked at; the run's own choice until another is chosen. */
  take = $state<number | null>(null);
  /** The run with what was said on this screen and is still on its way. */
  run: RunExport | null = $derived.by(
    () => this.#base && withLocal(this.#base, [...this.post.landed, ...this.post.waiting], this.offsetMs),
  );
  /** The run with the chosen take as the scored one. */
  chosen: RunExport | null = $derived(this.run && { ...this.run, scoredTake: this.take ?? this.run.scoredTake });
  board: Board | null = $derived(this.chosen && boardOf(this.chosen));
  card: Scorecard | null = $derived.by(() => {
    if (!this.chosen) return null;
    return scoreRun(this.chosen, { packId: this.packId ?? this.chosen.definition.packId });
  });
  review: Review | null = $derived.by(() => {
    if (!this.chosen || !this.card) return null;
    return reviewRun(this.chosen, { packId: this.card.packId, card: this.card });
  });
  model: TimelineModel | null = $derived.by(() => {
    if (!this.chosen || !this.card || !this.board) return null;
    return withNotes(buildTimeline(this.chosen, this.card), this.board);
  });
  /** Every line that was asked about or should be, in the pack's order, so that an answer does not make it vanish. */
  questions: readonly TargetResult[] = $derived.by(() => {
    const open = this.card?.toReconcile.map((one) => one.target) ?? [];
    return this.card?.results.filter((one) => open.includes(one.target.id) || one.reconciled) ?? [];
  });
  /** Targets whose answer is on its way to the server. */
  saving: readonly string[] = $derived.by(() =>
    this.post.waiting.flatMap(({ command }) => (command.kind === 'reconciled' ? [command.target] : [])),
  );
  /** Circumstances whose answer is on its way to the server. */
  savingCircumstances: readonly string[] = $derived.by(() =>
    this.post.waiting.flatMap(({ command }) => (command.kind === 'circumstance-told' ? [command.circumstance] : [])),
  );

  constructor(runId: string) {
    this.runId = runId;
    this.post = new DebriefPost(runId, () => void this.#look());
    this.followUps = new FollowUps(runId);
  }

  /** Opens the run, sends what waits, and follows what other screens write; returns the function that ends it. */
  start(): () => void {
    void this.load();
    const stop = this.post.start();
    const timer = setInterval(() => {
      if (document.visibilityState !== 'hidden') void this.#look();
    }, LOOK_MS);
    return () => {
      clearInterval(timer);
      stop();
      this.close();
    };
  }

  async load(): Promise<void> {
    try {
      const run = await api.export(this.runId);
      // A run without its pack should fail here, in words, not while drawing.
      findPack(run);
      this.problem = null;
      this.#base = run;
      this.#readBack();
      void this.#look();
    } catch (thrown) {
      this.problem = asApiError(thrown);
    }
  }

  /** The server's wall clock now, ms since the epoch. */
  wallMs(): number {
    return Date.now() + this.offsetMs;
  }

  /** What the log has gained since: from other screens, and what this one sent. */
  async #look(): Promise<void> {
    const base = this.#base;
    if (base === null) {
      if (this.problem?.code === 'OFFLINE') await this.load();
      return;
    }
    if (this.#looking) return;
    this.#looking = true;
    try {
      const askedMs = Date.now();
      const { wallTime, events } = await api.logAfter(this.runId, base.events.at(-1)?.seq ?? 0);
      const tripMs = Date.now() - askedMs;
      if (tripMs <= this.#bestTripMs) {
        this.#bestTripMs = tripMs;
        this.offsetMs = Date.parse(wallTime) + tripMs / 2 - Date.now();
      }
      this.post.problem = null;
      if (events.length > 0) this.#base = { ...base, events: [...base.events, ...events] };
      this.#readBack();
      this.post.send();
      if (!this.post.waiting.some(({ command }) => command.kind === 'system-problem')) await this.followUps.send();
    } catch (thrown) {
      this.post.problem = asApiError(thrown);
    } finally {
      this.#looking = false;
    }
  }

  #readBack(): void {
    const events = this.#base?.events ?? [];
    this.post.readBack((clientId, n) =>
      events.some((event) => event.clientId === clientId && event.clientNumber === n),
    );
  }

  /** The replay of the take looked at: it keeps its place while another part is open. */
  player(run: RunExport, toMs: number): Player {
    if (this.#player?.run.scoredTake !== run.scoredTake) {
      this.#player?.close();
      this.#player = new Player(run, toMs);
    }
    return this.#player as Player;
  }

  /** The recording of the room beside that replay. */
  recording(take: number): RoomRecording {
    const kept = this.#recordings.find((one) => one.take === take);
    if (kept) return kept.recording;
    const recording = new RoomRecording(this.runId, take);
    this.#recordings.push({ take, recording });
    return recording;
  }

  /** The what-if of this run. */
  studio(run: RunExport): WhatIfStudio {
    if (this.#studio?.take !== run.scoredTake) this.#closeStudio();
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
    this.#closeStudio();
    this.#player?.close();
    for (const { recording } of this.#recordings) recording.close();
  }

  #closeStudio(): void {
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

  /** Records something said or judged in the debrief: at once on this screen, then on the server's disk. Null: kept there. */
  async record(body: Debriefed): Promise<ApiError | null> {
    try {
      await this.post.write(body);
      return null;
    } catch (thrown) {
      return asApiError(thrown);
    }
  }

  /** Records an answer the same way. */
  answer(target: string, answer: Answer, atMs: number | null): void {
    void this.record({ kind: 'reconciled', target, answer, atMs, ...this.#about });
  }

  /** Records whether something no drill can know is so. */
  tell(circumstance: string, answer: CircumstanceAnswer): void {
    void this.record({ kind: 'circumstance-told', circumstance, answer, ...this.#about });
  }
}
