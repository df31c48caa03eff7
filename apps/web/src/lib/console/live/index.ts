/** Drawers and strips of the live run around the patient. One with the id of a drawer in `decks.ts` takes its place. */
import type { Deck, Strip } from '../extension.ts';
import { liveOf } from './deck.ts';
import { underWay } from './errands.ts';
import LiveStrip from './LiveStrip.svelte';
import PeopleDeck from './PeopleDeck.svelte';
import { outstanding } from './requests.ts';
import RoomPart from './RoomPart.svelte';
import ScreensPart from './ScreensPart.svelte';
import SteerPart from './SteerPart.svelte';
import TeamPart from './TeamPart.svelte';

export const LIVE_DECKS: readonly Deck[] = [
  {
    id: 'steer',
    label: 'Steer',
    title: 'Steer the patient',
    icon: 'branch',
    key: 'e',
    order: 30,
    leadOnly: true,
    component: SteerPart,
    badge: (session) => {
      const live = liveOf(session);
      return (session.view?.overridden.length ?? 0) + Number(live.course !== null) + Number(live.arrest === 'asked');
    },
  },
  {
    id: 'people',
    label: 'People',
    title: 'Asked for, and the family',
    icon: 'person',
    key: 'g',
    order: 40,
    component: PeopleDeck,
    badge: (session) => {
      const live = liveOf(session);
      return outstanding(live).length + live.family.worries.filter((each) => each.step === 'voiced').length;
    },
  },
  {
    id: 'team',
    label: 'Calls',
    title: 'Calls and kit, seats, handover, codes',
    icon: 'team',
    key: 'k',
    order: 50,
    component: TeamPart,
    badge: (session) => underWay(liveOf(session), session.definition.scenario).length,
  },
  {
    id: 'room',
    label: 'Room',
    title: 'Happenings, sounds and system problems',
    icon: 'door',
    key: 'h',
    order: 60,
    component: RoomPart,
    afterEnd: true,
  },
  {
    id: 'screens',
    label: 'Screens',
    title: 'Learners’ screens',
    icon: 'screen',
    key: 'v',
    order: 70,
    leadOnly: true,
    component: ScreensPart,
  },
];

export const LIVE_STRIPS: readonly Strip[] = [{ id: 'live', order: 50, component: LiveStrip }];
