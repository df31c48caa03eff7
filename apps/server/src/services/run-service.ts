/** What faculty may do with runs. Permission first, then the decision, then the store. */
import { randomInt, randomUUID } from 'node:crypto';
import { CAUTION, ENGINE_VERSION, isRehearsal, takesOf, type RunDefinition, type RunExport } from '@breathline/engine';
import { DebriefError, scoreRun, type Scorecard } from '@breathline/debrief';
import {
  checkRunExport,
  type AckMessage,
  type CommandMessage,
  type CrewRole,
  type JoinAnswer,
  type LogAnswer,
  type Role,
  type RunCard,
  type ScoresAnswer,
  type WhyAnswer,
} from '@breathline/protocol';
import { Refusal } from '../refusal.ts';
import type { RunAbout, RunBody, RunHead, RunStore } from '../store/run-store.ts';
import { requireCrew, requireFaculty, type Caller, type CrewCaller } from './access.ts';
import type { AuthService } from './auth-service.ts';
import type { LibraryService } from './library-service.ts';
import type { VitalId } from './engine-port.ts';
import { Limiter } from './limiter.ts';
import { monotonicMs, type RunRegistry } from './run-registry.ts';
import type { SiteService } from './site-service.ts';
import { trustOwnChecksOnly } from './trust.ts';
import { newCrewCode, newJoinCode, plainJoinCode } from './secrets.ts';
import { siteCalls } from './site-calls.ts';
import { swapWords } from './swap-words.ts';
import { checkWhole, endOf } from './whole-run.ts';

export interface NewRun {
  readonly scenarioId: string;
  readonly packId: string;
  readonly weightKg?: number;
  readonly ward?: string;
  readonly team?: string;
  readonly scored?: boolean;
  readonly repeatOf?: string;
  readonly swap?: { readonly from: string; readonly to: string };
}

const cardOf = ({
  runId,
  scenarioId,
  scenarioTitle,
  packId,
  phase,
  clockMs,
  joinCode,
  crewCode,
  createdAt,
  endedAt,
  imported,
  ward,
  team,
  scored,
}: RunHead): RunCard => ({
  runId,
  scenarioId,
  scenarioTitle,
  packId,
  phase,
  clockMs,
  joinCode,
  crewCode,
  createdAt,
  endedAt,
  imported,
  ward,
  team,
  scored,
});

/** The card of a run whose log is at hand. */
const cardWith = ({ head, log }: { readonly head: RunHead; readonly log: RunExport['events'] }): RunCard => ({
  ...cardOf(head),
  ...(isRehearsal(log) ? { rehearsal: true } : {}),
});

/** Stands on every answer that comes straight from the model. */
const MODEL_CAUTION = `Teaching model of a simulated patient. ${CAUTION}`;
/** Blood pressure is held as one, whichever of its numbers was set. */
const PRESSURES: readonly VitalId[] = ['systolicMmHg', 'diastolicMmHg', 'meanMmHg'];

export class RunService {
  readonly #runs: RunStore;
  readonly #registry: RunRegistry;
  readonly #library: LibraryService;
  readonly #auth: AuthService;
  readonly #site: SiteService;
  readonly #finished: (runId: string) => void;
  /** A device that mistypes gets ten goes a minute; a network that guesses gets no more than a hundred. */
  readonly #perAddress = new Limiter(10);
  readonly #altogether = new Limiter(100);

  constructor(parts: {
    readonly runs: RunStore;
    readonly registry: RunRegistry;
    readonly library: LibraryService;
    readonly auth: AuthService;
    readonly site: SiteService;
    /** Told of a finished run that came in or of which something changed besides its log. */
    readonly finished?: (runId: string) => void;
  }) {
    this.#runs = parts.runs;
    this.#registry = parts.registry;
    this.#library = parts.library;
    this.#auth = parts.auth;
    this.#site = parts.site;
    this.#finished = parts.finished ?? (() => undefined);
  }

  async create(caller: Caller, wish: NewRun): Promise<{ runId: string; joinCode: string; crewCode: string }> {
    requireFaculty(caller);
    const { scenarioId, packId, weightKg, swap } = wish;
    const before = wish.repeatOf === undefined ? null : await this.#runs.head(wish.repeatOf);
    if (wish.repeatOf !== undefined && before === null) throw new Refusal('no-such-run');
    const ward = wish.ward === undefined ? (before?.ward ?? null) : this.#wardOf(wish.ward);
    const { scenario: written, library, text } = await this.#library.scenario(scenarioId);
    const told = swap ? swapWords(written, swap) : written;
    // Kept with the run: what is called later must not depend on what the site has set by then.
    const calls = siteCalls(told.calls ?? [], this.#site.now.calls);
    const scenario = calls.length === 0 ? told : { ...told, calls };
    const pack = library.packs.find(({ id }) => id === packId);
    if (!pack) throw new Refusal('no-such-pack', `The library has no guideline pack "${packId}".`);
    const body: RunBody = {
      definition: {
        scenario,
        library,
        packId,
        seed: randomInt(1, 2 ** 31),
        ...(weightKg === undefined ? {} : { patient: { weightKg } }),
      },
      // The file as written no longer tells this story.
      scenarioText: swap ? null : text,
      derived: null,
    };
    const head: RunHead = {
      runId: randomUUID(),
      scenarioId,
      scenarioTitle: scenario.title,
      packId,
      engineVersion: ENGINE_VERSION,
      phase: 'ready',
      clockMs: 0,
      joinCode: await this.#registry.freeCode(newJoinCode),
      crewCode: await this.#registry.freeCode(newCrewCode),
      imported: false,
      scoredTake: 1,
      createdAt: new Date().toISOString(),
      endedAt: null,
      seenAt: null,
      ward,
      team: wish.team ?? null,
      // Going over it again is practice; it counts only if somebody says so.
      scored: wish.scored ?? before === null,
      repeatOf: wish.repeatOf ?? null,
    };
    await this.#runs.create(head, body);
    this.#registry.add(head, body);
    return { runId: head.runId, joinCode: head.joinCode ?? '', crewCode: head.crewCode ?? '' };
  }

  /** A ward of this site, or a refusal that lists them. */
  #wardOf(ward: string): string {
    const { wards } = this.#site.now;
    if (wards.includes(ward)) return ward;
    throw new Refusal('bad-shape', `This site has no ward "${ward}".`, {
      hint: wards.length === 0 ? 'Name the wards in the site settings first.' : `Choose one of: ${wards.join(', ')}.`,
    });
  }

  /** Says where a run was held and by whom, or that it counts or does not. What is left out stays. */
  async setAbout(caller: Caller, runId: string, wish: Partial<RunAbout>): Promise<RunCard> {
    requireFaculty(caller);
    const { run } = await this.#registry.get(runId);
    const { ward, team, scored } = run.head;
    if (wish.scored === true && isRehearsal(run.log)) {
      throw new Refusal('bad-shape', 'This run is a rehearsal: no team played it, so it can not count.', {
        hint: 'Leave it as it is, or hold the drill and let that count.',
      });
    }
    const about: RunAbout = {
      ward: wish.ward === undefined ? ward : wish.ward === null ? null : this.#wardOf(wish.ward),
      team: wish.team === undefined ? team : wish.team,
      scored: wish.scored ?? scored,
    };
    await this.#runs.setAbout(runId, about);
    run.setAbout(about);
    this.#finished(runId);
    return cardWith(run);
  }

  async list(caller: Caller): Promise<RunCard[]> {
    requireFaculty(caller);
    const heads = (await this.#runs.list()).map((head) => this.#registry.headNow(head));
    const endings = await this.#runs.endings.of(heads.filter(({ phase }) => phase === 'ended'));
    const rehearsals = await this.#runs.rehearsals(heads.filter(({ imported }) => imported).map(({ runId }) => runId));
    return heads.map((head) => ({
      ...cardOf(head),
      ...(rehearsals.has(head.runId) ? { rehearsal: true } : {}),
      ending: endings.get(head.runId) ?? null,
    }));
  }

  async one(caller: Caller, runId: string): Promise<{ run: RunCard; definition: RunDefinition }> {
    requireFaculty(caller);
    const { run } = await this.#registry.get(runId);
    return { run: cardWith(run), definition: run.body.definition };
  }

  /** A ticket for a socket of signed-in faculty, to lead or in another part. */
  async ticket(caller: Caller, runId: string, as: Exclude<Role, 'monitor'> = 'faculty'): Promise<string> {
    requireFaculty(caller);
    const { run } = await this.#registry.get(runId);
    run.view(); // Refuses a frozen run, which has nothing live to show.
    return this.#auth.issueTicket({ runId, role: as });
  }

  /** What a logger on a phone of their own needs to name things: the same as faculty get, but for the run's id. */
  async definitionForCrew(crew: CrewCaller | null): Promise<RunDefinition> {
    const { runId } = requireCrew(crew, 'logger');
    return (await this.#registry.get(runId)).run.body.definition;
  }

  async command(caller: Caller, runId: string, message: CommandMessage): Promise<AckMessage> {
    requireFaculty(caller);
    const { run } = await this.#registry.get(runId);
    return run.command({ role: 'faculty', actor: { role: 'lead', seat: message.clientId } }, message, monotonicMs);
  }

  /** What the log has gained after a line, with the clock on this wall. Refused during a real emergency. */
  async logAfter(caller: Caller, runId: string, after: number): Promise<LogAnswer> {
    requireFaculty(caller);
    const { run } = await this.#registry.get(runId);
    run.refuseInEmergency();
    return { seq: run.seq, wallTime: new Date().toISOString(), events: run.log.slice(after) };
  }

  /** Why a vital is what it is now, in the model's own terms. */
  async explain(caller: Caller, runId: string, vital: VitalId): Promise<WhyAnswer> {
    requireFaculty(caller);
    const { run } = await this.#registry.get(runId);
    const answer = run.explain(vital);
    const { clockMs, overridden, trueVitals } = run.view();
    const held =
      overridden.includes(vital) || (PRESSURES.includes(vital) && overridden.some((one) => PRESSURES.includes(one)));
    return { caution: MODEL_CAUTION, clockMs, effective: trueVitals[vital], held, ...answer };
  }

  /** Bedside scores of the simulated patient now, whole. */
  async scores(caller: Caller, runId: string): Promise<ScoresAnswer> {
    requireFaculty(caller);
    const { run } = await this.#registry.get(runId);
    const { consciousness, scores } = run.scores();
    return { caution: MODEL_CAUTION, clockMs: run.clockMs, consciousness, scores };
  }

  /**
   * Anyone with a code gets a ticket and the title that tells nothing: the learners' code opens a monitor, the crew's the
   * part asked for. Both are guessed at under one limit.
   */
  async joinByCode(code: string, as: CrewRole | undefined, address: string): Promise<JoinAnswer> {
    if (this.#perAddress.blocked(address) || this.#altogether.blocked('all')) throw new Refusal('too-many-attempts');
    const found = await this.#runs.headByCode(plainJoinCode(code));
    if (!found) {
      this.#perAddress.fail(address);
      this.#altogether.fail('all');
      throw new Refusal('wrong-code');
    }
    const { runId } = found.head;
    const { run } = await this.#registry.get(runId);
    run.view(); // A frozen run has no screens.
    const title = run.body.definition.scenario.learnerTitle;
    if (found.opens === 'learners') {
      if (as !== undefined) {
        throw new Refusal('wrong-role', 'That is the learners’ code: it opens a monitor only.', {
          hint: 'Ask faculty for the crew’s code; it has eight characters.',
        });
      }
      const role = 'monitor' as const;
      return { ticket: this.#auth.issueTicket({ runId, role }), title, role, site: this.#site.forMonitor() };
    }
    const role = as ?? 'observer';
    return {
      ticket: this.#auth.issueTicket({ runId, role }),
      title,
      role,
      pass: this.#auth.issuePass({ runId, role }),
    };
  }

  /**
   * The whole run as one file: scores the same anywhere, with the track as it was shown. `take` is the one to be scored; the
   * last if not said. Refused during a real emergency. Pictures are not in it.
   */
  async export(caller: Caller, runId: string, take?: number): Promise<RunExport> {
    requireFaculty(caller);
    const { run } = await this.#registry.get(runId);
    run.refuseInEmergency();
    const scoredTake = take ?? run.head.scoredTake;
    if (!takesOf(run.log).some((one) => one.take === scoredTake)) {
      throw new Refusal('unknown-target', `This run has no take ${scoredTake}.`);
    }
    await this.#registry.save();
    const { head, body } = run;
    return {
      format: 'breathline-run',
      formatVersion: 1,
      caution: CAUTION,
      engineVersion: head.engineVersion,
      runId,
      createdAt: head.createdAt,
      definition: body.definition,
      ...(body.scenarioText === null ? {} : { scenarioText: body.scenarioText }),
      events: [...run.log],
      derived: [...run.derived()],
      track: await this.#runs.track(runId),
      scoredTake,
    };
  }

  /** Takes in a run exported elsewhere: the whole of it or nothing. */
  async import(caller: Caller, file: unknown): Promise<{ runId: string }> {
    requireFaculty(caller);
    const checked = checkRunExport(file);
    if (!checked.ok) throw new Refusal('bad-import', checked.message);
    const run = trustOwnChecksOnly(checked.value as RunExport, await this.#library.library(caller));
    checkWhole(run);
    const runId =
      (await this.#runs.head(run.runId)) === null && /^[\w-]{8,64}$/.test(run.runId) ? run.runId : randomUUID();
    const clockMs = Math.max(0, run.track.at(-1)?.atMs ?? 0, run.events.at(-1)?.appliedAtMs ?? 0);
    const created = new Date(run.createdAt);
    const createdAt = Number.isNaN(created.getTime()) ? new Date() : created;
    await this.#runs.createWhole(
      {
        runId,
        scenarioId: run.definition.scenario.id,
        scenarioTitle: run.definition.scenario.title,
        packId: run.definition.packId,
        engineVersion: run.engineVersion,
        phase: 'ended',
        clockMs,
        joinCode: null,
        crewCode: null,
        imported: true,
        scoredTake: run.scoredTake,
        createdAt: createdAt.toISOString(),
        // How long words are kept is counted from here: a rehearsal, which was at no time, begins when it comes in.
        endedAt: isRehearsal(run.events) ? new Date().toISOString() : (endOf(run) ?? createdAt.toISOString()),
        seenAt: null,
        ward: null,
        team: null,
        // No team played a rehearsal.
        scored: !isRehearsal(run.events),
        repeatOf: null,
      },
      { definition: run.definition, scenarioText: run.scenarioText ?? null, derived: run.derived },
      run.events,
      run.track.map((row) => ({ take: row.take ?? 1, row })),
    );
    this.#finished(runId);
    return { runId };
  }

  async scorecard(caller: Caller, runId: string, packId: string | undefined, take?: number): Promise<Scorecard> {
    requireFaculty(caller);
    const run = await this.export(caller, runId, take);
    try {
      return scoreRun(run, packId === undefined ? {} : { packId });
    } catch (error) {
      if (error instanceof DebriefError) throw new Refusal('not-scorable', error.message);
      throw error;
    }
  }
}
