/**
 * What an automatic injector of adrenaline really delivers: how long it was held, how old it is, which end was where.
 * A share of the labelled dose, 0..1. Training only.
 *
 * Hold: two bench studies disagree. Baker TW et al. Ann Allergy Asthma Immunol 2011;107:235-8, doi
 * 10.1016/j.anai.2011.06.001 (21 devices into marbled beef, abstract seen): at every hold from 1 to 10 s at least 95.9 % of
 * what was released was taken up, with no relation to time. Schwirtz A, Seeger H. J Asthma Allergy 2010;3:159-67, doi
 * 10.2147/JAA.S14419 (gelatine, abstract seen): 74.3 % (cartridge) or 25.7 % (syringe type) of the dose is out after 2.5 s.
 * Taken here: half-way between the first and the second's cartridge at steady flow, and all of it from 3 s, the hold now
 * advised (10 s in older leaflets; both from memory).
 *
 * Age: Kassel L et al. J Allergy Clin Immunol Pract 2019;7:2491-3 (second-hand): 100 % at 6 months past the date, 95 % at
 * 12. Cantrell FL et al. Ann Intern Med 2017;166:918-9 (second-hand): 89 % or more up to 29 months, 84 and 88 % at 50.
 * Simons FER et al. J Allergy Clin Immunol 2000;105:1025-30 (abstract seen): lower with each month up to 90, yet to be used
 * when nothing else is at hand and the fluid is clear. Value at 90 months chosen here.
 */

export const DEVICE_FAULTS = ['misfire', 'wrong-way-round', 'expired', 'through-thick-clothing'] as const;
export type DeviceFault = (typeof DEVICE_FAULTS)[number];

/** How an automatic injector was used. Left out: held long enough, in date, right way round. */
export interface DeviceUse {
  /** Seconds it was pressed on, after the click. */
  readonly heldSeconds?: number;
  /** Months past the date on the label, where it was out of date. */
  readonly monthsPastExpiry?: number;
  readonly fault?: DeviceFault;
}

/** Where the labelled dose went, as shares of it. What is missing was lost. */
export interface DeviceDelivery {
  readonly muscleShare: number;
  /** Under the skin: slow (Simons FER et al. J Allergy Clin Immunol 1998;101:33-7). */
  readonly skinShare: number;
  /** Into the thumb or finger of whoever held it: no dose for the patient, and a pale, painful digit. */
  readonly digitShare: number;
}

type Points = readonly (readonly [x: number, share: number])[];

const HELD_SECONDS: Points = [
  [0, 0],
  [1, 0.63],
  [2.5, 0.85],
  [3, 1],
];
const MONTHS_PAST: Points = [
  [6, 1],
  [12, 0.95],
  [29, 0.9],
  [50, 0.86],
  [90, 0.6],
];
/** Age not said: about the mean of the devices in Cantrell 2017. */
const EXPIRED_AGE_UNKNOWN = 0.9;
/** Thick cloth eats needle length, so part ends short of the muscle. Direction is plain, the share is chosen here. */
const SHORT_OF_MUSCLE = 0.5;

function at(points: Points, x: number): number {
  if (!(x > points[0]![0])) return points[0]![1];
  for (let i = 1; i < points.length; i++) {
    const [x1, y1] = points[i]!;
    const [x0, y0] = points[i - 1]!;
    if (x <= x1) return y0 + ((y1 - y0) * (x - x0)) / (x1 - x0);
  }
  return points[points.length - 1]![1];
}

/** Where the dose of a device used like this went. Anything unreadable counts as left out. */
export function deviceDelivery(use: DeviceUse | undefined): DeviceDelivery {
  if (use?.fault === 'misfire') return { muscleShare: 0, skinShare: 0, digitShare: 0 };
  const held = Number.isFinite(use?.heldSeconds) ? at(HELD_SECONDS, use!.heldSeconds!) : 1;
  const months = use?.monthsPastExpiry;
  const potency = Number.isFinite(months)
    ? at(MONTHS_PAST, months!)
    : use?.fault === 'expired'
      ? EXPIRED_AGE_UNKNOWN
      : 1;
  const out = held * potency;
  if (use?.fault === 'wrong-way-round') return { muscleShare: 0, skinShare: 0, digitShare: out };
  if (use?.fault === 'through-thick-clothing')
    return { muscleShare: (1 - SHORT_OF_MUSCLE) * out, skinShare: SHORT_OF_MUSCLE * out, digitShare: 0 };
  return { muscleShare: out, skinShare: 0, digitShare: 0 };
}

/** What went wrong with the device, in words for a log or a debrief; null when nothing did. Shares are the model's. */
export function deviceUseText(use: DeviceUse | undefined): string | null {
  if (use === undefined) return null;
  if (use.fault === 'misfire') return 'the device did not fire: nothing was delivered';
  if (use.fault === 'wrong-way-round')
    return 'held the wrong way round: it went into the holder’s thumb or finger, and none into the patient; the digit needs warmth and an expert to look at it';
  const { muscleShare, skinShare } = deviceDelivery(use);
  const percent = Math.round(100 * (muscleShare + skinShare));
  const parts: string[] = [];
  const held = use.heldSeconds;
  if (held !== undefined && held < 3) parts.push(`held ${Math.round(held * 10) / 10} s where 3 s is advised`);
  if (use.monthsPastExpiry !== undefined && use.monthsPastExpiry > 0)
    parts.push(`${Math.round(use.monthsPastExpiry)} months out of date, and still better than none`);
  else if (use.fault === 'expired') parts.push('out of date, and still better than none');
  if (use.fault === 'through-thick-clothing')
    parts.push('through thick clothing, so half of it fell short of the muscle');
  if (parts.length === 0) return null;
  return `${parts.join('; ')}: about ${percent} % of the labelled dose got in (teaching model)`;
}
