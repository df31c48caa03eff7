/**
 * What faculty, observers and learners do around the patient during a live run: steering the whole patient, winding
 * back, calling people, the family, requests, seats, sounds. Each is an event of the log; `LiveView` is what follows from
 * them by replay, and nothing else is kept.
 */
import type { AbcdeId, Finding, VitalId } from '@breathline/patient';
import type { DeviceId } from '@breathline/scenario';

/** How fast the run clock goes against the clock on the wall. */
export const SPEEDS = [0.5, 1, 2, 4] as const;
export type Speed = (typeof SPEEDS)[number];

/** What an observer may give a behaviour besides a tick; `RATING_STEPS` says what each stands for. */
export type BehaviourRating = 1 | 2 | 3 | 4 | 5;

export const SYSTEM_PROBLEMS = ['kit', 'drug', 'layout', 'phone', 'staffing', 'guideline', 'other'] as const;
export type SystemProblem = (typeof SYSTEM_PROBLEMS)[number];

/** The parts of a structured handover that were heard. */
export interface HandoverParts {
  readonly situation: boolean;
  readonly background: boolean;
  readonly assessment: boolean;
  readonly recommendation: boolean;
}

/** What learners may press on their screen, if faculty let them. */
export interface LearnerControls {
  readonly cuff: boolean;
  readonly silence: boolean;
  readonly probes: boolean;
}

export type LiveEventBody =
  /** The whole patient better, held or worse, coherent because the model itself is steered; given back by the next. */
  | {
      readonly kind: 'course-steered';
      readonly direction: 'better' | 'hold' | 'worse';
      readonly pace: 'slow' | 'fast';
    }
  | { readonly kind: 'course-released' }
  /** Something sensible that the formulary does not know. */
  | {
      readonly kind: 'other-action';
      readonly text: string;
      readonly letter?: AbcdeId;
      readonly effect: 'none' | 'helps' | 'harms';
      readonly givenBy?: string;
    }
  /**
   * Go again from `toMs` of take `fromTake`. The event itself is the first of the new take (its `take` is one more than
   * any before) and is applied at `toMs`; earlier takes stay as they were.
   */
  | {
      readonly kind: 'wound-back';
      readonly toMs: number;
      readonly fromTake: number;
      readonly why?: string;
      /** Run clock at which the take was left; a replay then plays that take as far. */
      readonly leftAtMs?: number;
    }
  | { readonly kind: 'speed-changed'; readonly factor: Speed }
  /** An observer ticks a behaviour of the scenario's list. */
  | {
      readonly kind: 'behaviour-ticked';
      readonly behaviour: string;
      readonly seen: 'seen' | 'partly' | 'not-seen';
      /** Besides the tick, if the observer rates; anchored in `RATING_STEPS`. */
      readonly rating?: BehaviourRating;
    }
  | {
      readonly kind: 'comment';
      readonly text: string;
      readonly about?: 'good' | 'change' | 'question';
      readonly aboutSeq?: number;
    }
  /** Learners or family asked for something and have not had it; it ages until met. */
  | { readonly kind: 'request-made'; readonly from: 'learners' | 'family'; readonly what: string }
  | { readonly kind: 'request-met'; readonly targetSeq: number; readonly answer: 'given' | 'refused' }
  /** 0 calm, 1 worried, 2 distressed, 3 in the way. */
  | { readonly kind: 'family-distress'; readonly level: 0 | 1 | 2 | 3 }
  /** A piece of the history was told, because someone asked. */
  | { readonly kind: 'family-history-told'; readonly item: string }
  | { readonly kind: 'family-worry'; readonly item: string; readonly step: 'voiced' | 'heeded' | 'dismissed' }
  /** Who of the team is with the family; null = nobody. */
  | { readonly kind: 'family-with'; readonly who: string | null }
  /** Someone was called (simulated), or something was sent for; it answers or comes after `delayMs`. */
  | {
      readonly kind: 'errand-sent';
      readonly errand: 'call' | 'kit';
      /** A contact of the call list, or a piece of kit by name. */
      readonly what: string;
      readonly delayMs: number;
      readonly sentBy?: string;
    }
  /** It came now, whatever was planned; or it will not come. */
  | { readonly kind: 'errand-ended'; readonly targetSeq: number; readonly how: 'came' | 'failed' }
  | {
      readonly kind: 'system-problem';
      readonly category: SystemProblem;
      readonly text?: string;
      /** Id of a picture kept beside the run. */
      readonly photo?: string;
    }
  /** Seats, not names. */
  | {
      readonly kind: 'seat-changed';
      readonly seat: string;
      readonly teamRole: string;
      readonly change: 'joined' | 'left' | 'swapped';
      readonly withSeat?: string;
    }
  | {
      readonly kind: 'handover';
      readonly to: string;
      readonly parts: HandoverParts;
      readonly readBack: 'full' | 'part' | 'none';
      readonly text?: string;
    }
  | {
      readonly kind: 'sound-changed';
      readonly volumePercent: number;
      readonly pulseTone: boolean;
      readonly alarms: boolean;
    }
  | { readonly kind: 'sound-played'; readonly sound: string }
  /** Audible alarms are quiet for so long; 0 = at once loud again. */
  | { readonly kind: 'alarm-paused'; readonly forMs: number }
  /** Null = no limit on that side. */
  | {
      readonly kind: 'alarm-limit';
      readonly vital: VitalId;
      readonly low: number | null;
      readonly high: number | null;
    }
  | ({ readonly kind: 'learner-controls' } & LearnerControls)
  | { readonly kind: 'exhibit-shown'; readonly exhibit: string }
  | { readonly kind: 'exhibit-hidden'; readonly exhibit: string }
  /** Learners hear (and see named by side) what a stethoscope would hear. */
  | { readonly kind: 'listening'; readonly on: boolean }
  | {
      readonly kind: 'happening';
      readonly what: 'phone' | 'family-question' | 'kit-failure' | 'other';
      readonly text?: string;
      readonly device?: DeviceId;
    }
  /** The model would arrest; faculty say whether it may. Until then the patient is held at the brink. */
  | { readonly kind: 'arrest-decided'; readonly allow: boolean }
  /** Faculty said aloud what the patient shows, in these words; what the team had not just looked for is named apart. */
  | { readonly kind: 'findings-said'; readonly said: readonly Finding[]; readonly unasked: readonly AbcdeId[] };

/** What stands, after all that was logged in this take. */
export interface LiveView {
  readonly speed: Speed;
  readonly course: {
    readonly direction: 'better' | 'hold' | 'worse';
    readonly pace: 'slow' | 'fast';
    readonly sinceMs: number;
  } | null;
  /** Takes so far, oldest first. `fromMs` is where the take begins on the run clock, `toMs` where it ended or stands. */
  readonly takes: readonly {
    readonly take: number;
    readonly fromTake: number | null;
    readonly fromMs: number;
    readonly toMs: number;
  }[];
  readonly requests: readonly {
    readonly seq: number;
    readonly from: 'learners' | 'family';
    readonly what: string;
    readonly atMs: number;
    readonly metAtMs: number | null;
    readonly answer: 'given' | 'refused' | null;
  }[];
  readonly errands: readonly {
    readonly seq: number;
    readonly errand: 'call' | 'kit';
    readonly what: string;
    readonly sentAtMs: number;
    readonly dueAtMs: number;
    readonly endedAtMs: number | null;
    readonly state: 'under-way' | 'came' | 'failed';
  }[];
  readonly family: {
    readonly distress: 0 | 1 | 2 | 3;
    readonly told: readonly { readonly item: string; readonly atMs: number }[];
    readonly worries: readonly {
      readonly item: string;
      readonly step: 'voiced' | 'heeded' | 'dismissed';
      readonly atMs: number;
    }[];
    readonly with: string | null;
  };
  readonly seats: readonly { readonly seat: string; readonly teamRole: string; readonly sinceMs: number }[];
  readonly behaviours: readonly {
    readonly behaviour: string;
    /** The last tick of each observer's seat. */
    readonly ticks: readonly {
      readonly seat: string;
      readonly seen: 'seen' | 'partly' | 'not-seen';
      readonly rating?: BehaviourRating;
      readonly atMs: number;
    }[];
  }[];
  readonly sound: { readonly volumePercent: number; readonly pulseTone: boolean; readonly alarms: boolean };
  /** The last sounds sent to the screens; a screen plays each seq once. */
  readonly playing: readonly { readonly seq: number; readonly sound: string; readonly atMs: number }[];
  readonly alarm: {
    /** Run clock until which audible alarms are paused; null = not paused. */
    readonly pausedUntilMs: number | null;
    readonly limits: readonly {
      readonly vital: VitalId;
      readonly low: number | null;
      readonly high: number | null;
    }[];
  };
  readonly learnersMay: LearnerControls;
  readonly exhibits: readonly { readonly exhibit: string; readonly sinceMs: number }[];
  readonly listening: boolean;
  readonly happenings: readonly {
    readonly seq: number;
    readonly what: string;
    readonly text: string;
    readonly atMs: number;
  }[];
  readonly systemProblems: readonly {
    readonly seq: number;
    readonly category: SystemProblem;
    readonly text: string;
    readonly atMs: number;
  }[];
  readonly handover: {
    readonly seq: number;
    readonly to: string;
    readonly parts: HandoverParts;
    readonly readBack: 'full' | 'part' | 'none';
    readonly atMs: number;
  } | null;
  /** `asked`: the model is at the brink and waits for faculty. */
  readonly arrest: 'not-asked' | 'asked' | 'allowed' | 'refused';
}
