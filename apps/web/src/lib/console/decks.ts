/** The console's drawers and strips, in their order. A new one is an entry here, or in `live/index.ts`. */
import type { Deck, Strip } from './extension.ts';
import AdrenalineStrip from './AdrenalineStrip.svelte';
import CuesPanel from './CuesPanel.svelte';
import ReassessStrip from './ReassessStrip.svelte';
import SayDeck from './SayDeck.svelte';
import LogPanel from './LogPanel.svelte';
import ScriptPanel from './ScriptPanel.svelte';
import SteerPanel from './SteerPanel.svelte';
import { LIVE_DECKS, LIVE_STRIPS } from './live/index.ts';
import { toSayCount } from './say.ts';

const CORE: readonly Deck[] = [
  {
    id: 'say',
    label: 'Say',
    title: 'Say now',
    icon: 'speech',
    key: 'y',
    order: 10,
    component: SayDeck,
    badge: toSayCount,
  },
  {
    id: 'cues',
    label: 'Cues',
    title: 'Lines for actors',
    icon: 'note',
    key: 'j',
    order: 15,
    component: CuesPanel,
    badge: (session) => (session.view?.cuesDue ?? []).filter((each) => each.spokenAtMs === null).length,
  },
  { id: 'log', label: 'Log', title: 'Log', icon: 'list', key: 'l', order: 20, component: LogPanel, afterEnd: true },
  {
    id: 'steer',
    label: 'Steer',
    title: 'Steer the patient',
    icon: 'branch',
    key: 'e',
    order: 30,
    component: SteerPanel,
    badge: (session) => session.view?.overridden.length ?? 0,
  },
  {
    id: 'script',
    label: 'Script',
    title: 'Script',
    icon: 'person',
    key: 'i',
    order: 90,
    component: ScriptPanel,
    afterEnd: true,
  },
];

function merged<Part extends { readonly id: string; readonly order: number }>(
  core: readonly Part[],
  live: readonly Part[],
): readonly Part[] {
  const replaced = new Set(live.map((each) => each.id));
  return [...core.filter((each) => !replaced.has(each.id)), ...live].sort((a, b) => a.order - b.order);
}

export const DECKS: readonly Deck[] = merged(CORE, LIVE_DECKS);
export const STRIPS: readonly Strip[] = merged(
  [
    { id: 'adrenaline', order: 10, component: AdrenalineStrip },
    { id: 'reassess', order: 20, component: ReassessStrip },
  ],
  LIVE_STRIPS,
);

/** The drawer with this id; the log when there is none. */
export function deckOf(id: string): Deck {
  return DECKS.find((each) => each.id === id) ?? DECKS.find((each) => each.id === 'log')!;
}

/** The drawer to show for this id: after the end one that still does something, else the log. */
export function deckNow(id: string, ended: boolean): Deck {
  const deck = deckOf(id);
  return ended && deck.afterEnd !== true ? deckOf('log') : deck;
}
