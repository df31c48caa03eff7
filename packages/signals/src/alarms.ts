/**
 * Alarms of a simulated monitor: from what it shows to which alarms stand, and when their bursts sound.
 *
 * Informed by what is publicly said of IEC 60601-1-8 (three priorities told apart by colour, flash and burst; latching;
 * timed pause of the sound; technical alarms apart from physiological ones). No conformity is claimed: this is a training
 * display. Which condition has which priority, the delays and the words are our own (common practice, no source).
 *
 * Everything follows from run-clock stamps and never from a clock on the wall, so two monitors that were told the same
 * have the same alarms at the same moment. A screen that joins late is told which alarms stand and which are kept.
 */
import { LIMITED, type AlarmLimits, type Limited } from './alarm-limits.ts';
import { rhythmNamed } from './rhythm.ts';
import { alarmBurst, burstLengthMs, type AlarmPriority } from './tones.ts';

export type AlarmPart = 'heart' | 'oxygen' | 'breathing' | 'co2' | 'pressure' | 'temperature' | 'glucose';

/** What a monitor shows at one moment. `null`: no number. */
export interface AlarmReadings extends Readonly<Record<Limited, number | null>> {
  /** As drawn from the leads; null when they are off. */
  readonly rhythm: string | null;
  readonly leadsOn: boolean;
  readonly probeOn: boolean;
  readonly cuffOn: boolean;
  readonly co2LineOn: boolean;
  /** What hinders the probe, if anything. */
  readonly probe: 'good' | 'starting' | 'weak' | 'movement' | 'lost';
  readonly cuffFailed: boolean;
  /** Run clock until which the sound is paused; null when it is not. */
  readonly pausedUntilMs: number | null;
}

export interface Alarm {
  readonly id: string;
  readonly part: AlarmPart;
  readonly kind: 'patient' | 'technical';
  readonly priority: AlarmPriority;
  /** A few plain words; never a diagnosis. */
  readonly words: string;
  /** When it began to sound and show. */
  readonly atMs: number;
  /** False: over by now, but kept until somebody takes note of it (latched). */
  readonly active: boolean;
}

/** An alarm as somebody who has watched from the beginning knows it. */
export type ToldAlarm = Pick<Alarm, 'id' | 'atMs' | 'active'>;

export interface AlarmState {
  /** Worst first, then oldest first. */
  readonly alarms: readonly Alarm[];
  /** Of the alarms that are active. */
  readonly priority: AlarmPriority | null;
  /** Run clock until which the sound is paused; null when it is not. */
  readonly pausedUntilMs: number | null;
}

export interface BurstStart {
  readonly atMs: number;
  readonly priority: AlarmPriority;
}

interface Condition {
  readonly id: string;
  readonly part: AlarmPart;
  readonly kind: Alarm['kind'];
  readonly priority: AlarmPriority;
  readonly words: string;
  /** It must have held for so long before it counts, ms. */
  readonly delayMs: number;
  /** And must have gone for so long before it is over, so that a number on the edge does not chatter, ms. */
  readonly offDelayMs: number;
  readonly holds: (now: AlarmReadings, limits: AlarmLimits, memory: Memory) => boolean;
}

/** What has been on in this run: something never attached can not come off. */
interface Memory {
  leads: boolean;
  probe: boolean;
  cuff: boolean;
  co2Line: boolean;
  breathed: boolean;
}

const WORDS: Readonly<Record<Limited, { part: AlarmPart; name: string; delayMs: number }>> = {
  heartRatePerMin: { part: 'heart', name: 'Heart rate', delayMs: 4000 },
  spo2Percent: { part: 'oxygen', name: 'Saturation', delayMs: 6000 },
  respiratoryRatePerMin: { part: 'breathing', name: 'Breathing rate', delayMs: 6000 },
  systolicMmHg: { part: 'pressure', name: 'Systolic pressure', delayMs: 0 },
  etco2MmHg: { part: 'co2', name: 'Carbon dioxide', delayMs: 6000 },
  temperatureCelsius: { part: 'temperature', name: 'Temperature', delayMs: 0 },
  glucoseMmolPerL: { part: 'glucose', name: 'Glucose', delayMs: 0 },
};
const OFF_DELAY_MS = 2500;
/** With no breath for this long it is an alarm, ms. */
const NO_BREATH_MS = 15_000;

function past(
  vital: Limited,
  side: 'low' | 'high',
  far: boolean,
): (now: AlarmReadings, limits: AlarmLimits) => boolean {
  return (now, limits) => {
    const value = now[vital];
    if (value === null || !Number.isFinite(value)) return false;
    const limit = limits[vital];
    const near = side === 'low' ? limit.low : limit.high;
    const edge = side === 'low' ? limit.farLow : limit.farHigh;
    const beyond = (bound: number | null): boolean =>
      bound !== null && (side === 'low' ? value < bound : value > bound);
    return far ? beyond(edge) : beyond(near) && !beyond(edge);
  };
}

/** A heart that does not beat has an alarm of its own, and no breath one of its own. */
const stopped = (now: AlarmReadings): boolean => {
  const rhythm = now.leadsOn ? rhythmNamed(now.rhythm) : null;
  return rhythm === 'asystole' || rhythm === 'vf';
};

const CONDITIONS: readonly Condition[] = [
  {
    id: 'flat-line',
    part: 'heart',
    kind: 'patient',
    priority: 'high',
    words: 'No heartbeat on the ECG: look at the patient',
    delayMs: 3000,
    offDelayMs: OFF_DELAY_MS,
    holds: (now) => now.leadsOn && rhythmNamed(now.rhythm) === 'asystole',
  },
  {
    id: 'no-rhythm',
    part: 'heart',
    kind: 'patient',
    priority: 'high',
    words: 'ECG without order: look at the patient',
    delayMs: 3000,
    offDelayMs: OFF_DELAY_MS,
    holds: (now) => now.leadsOn && rhythmNamed(now.rhythm) === 'vf',
  },
  {
    id: 'broad-fast',
    part: 'heart',
    kind: 'patient',
    priority: 'high',
    words: 'Fast broad beats: look at the patient',
    delayMs: 3000,
    offDelayMs: OFF_DELAY_MS,
    holds: (now) => now.leadsOn && rhythmNamed(now.rhythm) === 'vt',
  },
  {
    id: 'no-breath',
    part: 'breathing',
    kind: 'patient',
    priority: 'high',
    words: 'No breath seen: look at the patient',
    delayMs: NO_BREATH_MS,
    offDelayMs: OFF_DELAY_MS,
    holds: (now, _, memory) => {
      if (!memory.breathed) return false;
      const noChest = now.leadsOn && now.respiratoryRatePerMin === 0;
      const noGas = now.co2LineOn && (now.etco2MmHg === 0 || now.respiratoryRatePerMin === 0);
      return noChest || noGas;
    },
  },
  ...LIMITED.flatMap((vital): Condition[] => {
    const { part, name, delayMs } = WORDS[vital];
    const spot = vital === 'temperatureCelsius' || vital === 'glucoseMmolPerL';
    return (['low', 'high'] as const).flatMap((side) =>
      [false, true].map((far): Condition => {
        const outside = past(vital, side, far);
        return {
          id: `${vital}-${far ? 'far-' : ''}${side}`,
          part,
          kind: 'patient',
          priority: far ? 'high' : spot ? 'low' : 'medium',
          words: `${name} ${far ? 'very ' : ''}${side}`,
          delayMs: far ? Math.min(delayMs, 3000) : delayMs,
          offDelayMs: OFF_DELAY_MS,
          holds: (now, limits) =>
            outside(now, limits) &&
            !(vital === 'heartRatePerMin' && stopped(now)) &&
            !(vital === 'respiratoryRatePerMin' && now.respiratoryRatePerMin === 0) &&
            !(vital === 'etco2MmHg' && now.etco2MmHg === 0),
        };
      }),
    );
  }),
  {
    id: 'probe-lost',
    part: 'oxygen',
    kind: 'technical',
    priority: 'medium',
    words: 'Oximeter finds no pulse: look at the patient, then the probe',
    delayMs: 4000,
    offDelayMs: OFF_DELAY_MS,
    holds: (now) => now.probeOn && now.probe === 'lost',
  },
  {
    id: 'probe-weak',
    part: 'oxygen',
    kind: 'technical',
    priority: 'low',
    words: 'Oximeter signal weak: the number may be wrong',
    delayMs: 10_000,
    offDelayMs: OFF_DELAY_MS,
    holds: (now) => now.probeOn && now.probe === 'weak',
  },
  {
    id: 'probe-moved',
    part: 'oxygen',
    kind: 'technical',
    priority: 'low',
    words: 'Oximeter disturbed by movement',
    delayMs: 10_000,
    offDelayMs: OFF_DELAY_MS,
    holds: (now) => now.probeOn && now.probe === 'movement',
  },
  {
    id: 'probe-off',
    part: 'oxygen',
    kind: 'technical',
    priority: 'low',
    words: 'Oximeter probe is off',
    delayMs: 2000,
    offDelayMs: 0,
    holds: (now, _, memory) => memory.probe && !now.probeOn,
  },
  {
    id: 'leads-off',
    part: 'heart',
    kind: 'technical',
    priority: 'low',
    words: 'ECG leads are off',
    delayMs: 2000,
    offDelayMs: 0,
    holds: (now, _, memory) => memory.leads && !now.leadsOn,
  },
  {
    id: 'line-off',
    part: 'co2',
    kind: 'technical',
    priority: 'low',
    words: 'Capnograph line is off',
    delayMs: 2000,
    offDelayMs: 0,
    holds: (now, _, memory) => memory.co2Line && !now.co2LineOn,
  },
  {
    id: 'cuff-failed',
    part: 'pressure',
    kind: 'technical',
    priority: 'medium',
    words: 'Cuff gave no reading: feel for a pulse',
    delayMs: 0,
    offDelayMs: 0,
    holds: (now) => now.cuffOn && now.cuffFailed,
  },
];

const RANK: Readonly<Record<AlarmPriority, number>> = { high: 0, medium: 1, low: 2 };
/** Bursts keep at least this rest between them, ms (low: more than 15 s). */
const LEAST_REST_MS: Readonly<Record<AlarmPriority, number>> = { high: 2500, medium: 2500, low: 15_100 };
/** Starts of bursts are kept this long behind the newest asked for, ms. */
const KEEP_MS = 60_000;

interface Standing {
  /** When the condition began to hold without a break; null while it does not. */
  sinceMs: number | null;
  /** When it last stopped holding. */
  goneMs: number | null;
  /** When it became an alarm; null while it is none. */
  atMs: number | null;
  /** When the alarm began that is over but kept; null: none is. */
  keptMs: number | null;
}

export interface Alarms {
  /**
   * Takes what the monitor shows at a run-clock time. An earlier time than the last means the clock was wound back.
   * `told`: the alarms that stand or are kept at that time by one who watched from the beginning; where it differs, it holds.
   */
  push(atMs: number, now: AlarmReadings, limits: AlarmLimits, told?: readonly ToldAlarm[]): void;
  /** The alarms at a run-clock time, not before the last push. */
  stateAt(atMs: number): AlarmState;
  /**
   * Bursts that start in (fromMs, toMs]: one when an alarm begins or grows worse, then on a beat of the run clock that all
   * screens share. Ask forwards in time.
   * @param stretch how fast the run clock goes against the wall's: rests keep their length for the ear.
   */
  burstsBetween(fromMs: number, toMs: number, stretch?: number): readonly BurstStart[];
  reset(): void;
}

/** Makes the alarms of one screen. Only high-priority alarms of the patient latch; a pause of the sound takes note of them. */
export function createAlarms(): Alarms {
  let standings = new Map<string, Standing>();
  let memory: Memory = { leads: false, probe: false, cuff: false, co2Line: false, breathed: false };
  let lastMs = -Infinity;
  let pausedUntilMs: number | null = null;
  let started: BurstStart[] = [];
  /** Rank of what last began to sound, to know when things grow worse. */
  let soundedRank = 3;
  let soundedToMs = -Infinity;

  function reset(): void {
    standings = new Map();
    memory = { leads: false, probe: false, cuff: false, co2Line: false, breathed: false };
    lastMs = -Infinity;
    pausedUntilMs = null;
    started = [];
    soundedRank = 3;
    soundedToMs = -Infinity;
  }

  /** When the alarm of a condition begins, given no further news; Infinity: it does not. */
  function beginsAt(condition: Condition, standing: Standing): number {
    if (standing.atMs !== null) return standing.atMs;
    return standing.sinceMs === null ? Infinity : standing.sinceMs + condition.delayMs;
  }

  function endsAt(condition: Condition, standing: Standing): number {
    return standing.goneMs === null || standing.sinceMs !== null ? Infinity : standing.goneMs + condition.offDelayMs;
  }

  function alarmAt(condition: Condition, atMs: number): Alarm | null {
    const standing = standings.get(condition.id);
    if (!standing) return null;
    const { id, part, kind, priority, words } = condition;
    const begins = beginsAt(condition, standing);
    const begun = begins <= atMs;
    if (begun && endsAt(condition, standing) > atMs)
      return { id, part, kind, priority, words, atMs: begins, active: true };
    const kept = begun && latches(condition) ? begins : standing.keptMs;
    return kept === null ? null : { id, part, kind, priority, words, atMs: kept, active: false };
  }

  function latches(condition: Condition): boolean {
    return condition.priority === 'high' && condition.kind === 'patient';
  }

  /** What somebody who saw the whole run knows goes before what this screen worked out; mostly they are the same. */
  function heed(condition: Condition, standing: Standing, atMs: number, told: readonly ToldAlarm[]): void {
    const known = told.find(({ id }) => id === condition.id);
    standing.keptMs = known && !known.active ? known.atMs : null;
    if (known?.active) {
      standing.atMs = known.atMs;
      // Its end was not seen here, or is not the end: whoever told of it will tell that too.
      if (endsAt(condition, standing) <= atMs) standing.goneMs = null;
    } else if (alarmAt(condition, atMs)?.active) {
      standing.atMs = null;
      standing.goneMs = null;
      if (standing.sinceMs !== null) standing.sinceMs = atMs;
    } else if (standing.atMs !== null) standing.atMs = null;
  }

  function stateAt(atMs: number): AlarmState {
    const alarms = CONDITIONS.map((condition) => alarmAt(condition, atMs))
      .filter((alarm) => alarm !== null)
      .sort((a, b) => Number(b.active) - Number(a.active) || RANK[a.priority] - RANK[b.priority] || a.atMs - b.atMs);
    return {
      alarms,
      priority: alarms.find((alarm) => alarm.active)?.priority ?? null,
      pausedUntilMs: pausedUntilMs !== null && pausedUntilMs > atMs ? pausedUntilMs : null,
    };
  }

  return {
    push(atMs, now, limits, told) {
      if (!Number.isFinite(atMs)) return;
      if (atMs < lastMs) reset();
      lastMs = atMs;
      memory.leads ||= now.leadsOn;
      memory.probe ||= now.probeOn;
      memory.cuff ||= now.cuffOn;
      memory.co2Line ||= now.co2LineOn;
      memory.breathed ||= (now.respiratoryRatePerMin ?? 0) > 0;
      const noted =
        now.pausedUntilMs !== null && now.pausedUntilMs > (pausedUntilMs ?? -Infinity) && now.pausedUntilMs > atMs;
      pausedUntilMs = now.pausedUntilMs;
      for (const condition of CONDITIONS) {
        const standing = standings.get(condition.id) ?? { sinceMs: null, goneMs: null, atMs: null, keptMs: null };
        const begins = beginsAt(condition, standing);
        if (begins <= atMs) standing.atMs = begins;
        if (standing.atMs !== null && endsAt(condition, standing) <= atMs) {
          if (latches(condition)) standing.keptMs = standing.atMs;
          standing.atMs = null;
        }
        if (noted) standing.keptMs = null;
        if (condition.holds(now, limits, memory)) {
          standing.sinceMs ??= atMs;
          standing.goneMs = null;
        } else {
          if (standing.sinceMs !== null) standing.goneMs = atMs;
          standing.sinceMs = null;
        }
        if (told) heed(condition, standing, atMs, told);
        standings.set(condition.id, standing);
      }
    },
    stateAt,
    burstsBetween(fromMs, toMs, stretch = 1) {
      started = started.filter((burst) => burst.atMs > fromMs - KEEP_MS);
      const known = started.filter((burst) => burst.atMs > fromMs && burst.atMs <= toMs);
      const from = Math.max(fromMs, soundedToMs);
      if (from >= toMs) return known;
      // Tenths of a second are finer than any screen tells apart, and a stamp falls on each.
      for (let t = Math.floor(from / 100) * 100 + 100; t <= toMs; t += 100) {
        const { priority, pausedUntilMs: paused } = stateAt(t);
        const rank = priority === null ? 3 : RANK[priority];
        const worse = rank < soundedRank;
        soundedRank = rank;
        if (priority === null || paused !== null) {
          // After a pause what still stands is heard at once.
          if (paused !== null) soundedRank = 3;
          continue;
        }
        const burst = alarmBurst(priority);
        const everyMs = Math.round(((burstLengthMs(burst) + burst.restMs) * stretch) / 100) * 100;
        const last = started.at(-1);
        const lastEndMs = last ? last.atMs + burstLengthMs(alarmBurst(last.priority)) * stretch : -Infinity;
        const rested = t >= lastEndMs + LEAST_REST_MS[priority] * stretch;
        if (worse || (t % everyMs === 0 && rested)) started.push({ atMs: t, priority });
      }
      soundedToMs = toMs;
      return started.filter((burst) => burst.atMs > fromMs && burst.atMs <= toMs);
    },
    reset,
  };
}
