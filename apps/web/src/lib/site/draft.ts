/** A site's settings while they are being written: text boxes on one side, the checked shape on the other. Pure. */
import type { SiteSettings } from '$lib/api';

type Call = SiteSettings['calls'][number];

/** One contact as typed. Times in seconds; an empty arrival means "does not come". */
export interface CallDraft {
  /** For the list on screen only. */
  readonly key: number;
  /** Kept for a contact that stands in for a scenario's; made from the title for a new one. */
  id: string;
  title: string;
  picksUp: string;
  answersAfterS: number | null;
  asks: string;
  does: string;
  arrivesAfterS: number | null;
}

export interface SiteDraft {
  /** One a line. */
  wards: string;
  inSitu: boolean;
  soundCapPercent: number | null;
  palette: string;
  calls: CallDraft[];
  wardAlarmWords: string;
  wardAlarmHz: number | null;
}

/** What is wrong, by the name of the box: "calls.2.title". Empty = may be saved. */
export type SiteFaults = Readonly<Record<string, string>>;

/** Keys only tell rows of one list apart. */
export function draftOf(site: SiteSettings): SiteDraft {
  return {
    wards: site.wards.join('\n'),
    inSitu: site.inSitu,
    soundCapPercent: site.soundCapPercent,
    palette: site.palette,
    calls: site.calls.map((call, key) => ({
      key,
      id: call.id,
      title: call.title,
      picksUp: call.picksUp,
      answersAfterS: call.answersAfterMs / 1000,
      asks: call.asks.join('\n'),
      does: call.does,
      arrivesAfterS: call.arrivesAfterMs === undefined ? null : call.arrivesAfterMs / 1000,
    })),
    wardAlarmWords: site.wardAlarm?.words ?? '',
    wardAlarmHz: site.wardAlarm?.pitchHz ?? null,
  };
}

const lines = (text: string): string[] => [
  ...new Set(
    text
      .split('\n')
      .map((line) => line.trim())
      .filter((line) => line !== ''),
  ),
];

/** "The children's doctor" -> "the-childrens-doctor"; something usable even where no letter is left. */
export function idOf(title: string): string {
  const id = title
    .normalize('NFKD')
    .replace(/[\u0300-\u036f’']/g, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 60);
  return id === '' ? 'contact' : id;
}

const outside = (value: number | null, low: number, high: number): boolean =>
  value === null || !Number.isFinite(value) || value < low || value > high;

/** Looks at every box; says for each what is wrong and how to mend it. */
export function faultsOf(draft: SiteDraft): SiteFaults {
  const faults: Record<string, string> = {};
  const wards = lines(draft.wards);
  if (wards.length > 100) faults['wards'] = `${wards.length} lines; at most 100 places can be kept.`;
  const long = wards.find((ward) => ward.length > 120);
  if (long !== undefined) faults['wards'] = `“${long.slice(0, 40)}…” is too long: at most 120 letters.`;
  if (outside(draft.soundCapPercent, 0, 100)) faults['cap'] = 'A whole number from 0 (silent) to 100.';
  if (draft.wardAlarmHz !== null && outside(draft.wardAlarmHz, 100, 8_000))
    faults['wardAlarmHz'] = 'Between 100 and 8,000 Hz, or empty when not known.';
  if (draft.wardAlarmHz !== null && draft.wardAlarmWords.trim() === '')
    faults['wardAlarmWords'] = 'Say in words what it sounds like, so that people can tell it too.';
  const ids = draft.calls.map((call) => call.id || idOf(call.title));
  draft.calls.forEach((call, at) => {
    if (call.title.trim() === '') faults[`calls.${at}.title`] = 'Say whom the team asks for, or remove this contact.';
    else if (ids.indexOf(ids[at] ?? '') !== at)
      faults[`calls.${at}.title`] = 'Another contact above has this name already: give one of them another.';
    if (call.picksUp.trim() === '') faults[`calls.${at}.picksUp`] = 'Say who answers.';
    if (outside(call.answersAfterS, 0, 3_600))
      faults[`calls.${at}.answersAfterS`] = 'Seconds from dialling to an answer, 0 to 3,600.';
    if (call.does.trim() === '') faults[`calls.${at}.does`] = 'Say what they say and do.';
    if (call.arrivesAfterS !== null && outside(call.arrivesAfterS, 0, 14_400))
      faults[`calls.${at}.arrivesAfterS`] = 'Seconds, 0 to 14,400; leave it empty when nobody comes.';
  });
  return faults;
}

/** The settings a draft without faults makes. */
export function settingsOf(draft: SiteDraft): SiteSettings {
  const words = draft.wardAlarmWords.trim();
  return {
    wards: lines(draft.wards),
    inSitu: draft.inSitu,
    soundCapPercent: Math.round(draft.soundCapPercent ?? 100),
    palette: draft.palette,
    calls: draft.calls.map((call): Call => ({
      id: call.id || idOf(call.title),
      title: call.title.trim(),
      picksUp: call.picksUp.trim(),
      answersAfterMs: Math.round((call.answersAfterS ?? 0) * 1000),
      asks: lines(call.asks),
      does: call.does.trim(),
      ...(call.arrivesAfterS === null ? {} : { arrivesAfterMs: Math.round(call.arrivesAfterS * 1000) }),
    })),
    wardAlarm: words === '' ? null : { words, pitchHz: draft.wardAlarmHz },
  };
}
