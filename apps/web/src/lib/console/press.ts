/** What each key does at the desk. `keys.ts` says which key asks for what. */
import { nextBackdate } from './backdate.ts';
import { oneTapActions, soloGroups } from './catalogue.ts';
import { heroState } from './clocks.ts';
import { DECKS } from './decks.ts';
import type { Desk } from './desk.svelte.ts';
import { keyAction } from './keys.ts';

function isTyping(target: EventTarget | null): boolean {
  return (
    target instanceof HTMLInputElement || target instanceof HTMLTextAreaElement || target instanceof HTMLSelectElement
  );
}

/** Does what a key press asks for, if it is one of ours. */
export function pressAt(desk: Desk, event: KeyboardEvent): void {
  const { session } = desk;
  const { target } = event;
  // Space and Enter on a focused button belong to that button.
  if (
    (event.key === ' ' || event.key === 'Enter') &&
    target instanceof HTMLElement &&
    target.closest('button, a, summary')
  )
    return;
  const action = keyAction(
    event,
    isTyping(target),
    DECKS.filter((deck) => desk.session.leads || deck.leadOnly !== true),
  );
  if (!action) return;
  if (action.do !== 'close') event.preventDefault();
  switch (action.do) {
    case 'close':
      desk.close();
      return;
    case 'help':
      desk.keysOpen = !desk.keysOpen;
      return;
    case 'play-pause':
      desk.playPause();
      return;
    case 'stop':
      desk.stop();
      return;
  }
  if (desk.stopped) return;
  if (action.do === 'deck') {
    desk.open(action.deck);
    // The next Tab is in it.
    document.getElementById('deck-panel')?.focus({ preventScroll: true });
    return;
  }
  if (action.do === 'part') {
    if (session.leads || action.deck !== 'steer') desk.openPart(action.deck, action.part);
    return;
  }
  if (desk.disabled) return;
  const { library, scenario } = session.definition;
  switch (action.do) {
    case 'adrenaline':
      if (desk.hero) {
        const next = heroState(session.log, new Set([desk.hero.id])).next;
        session.step(desk.hero, action.seen ? 'given' : next, action.seen);
      }
      return;
    case 'one-tap': {
      const item = oneTapActions(library, scenario)[action.index];
      if (item) desk.give(item, action.seen);
      return;
    }
    case 'solo': {
      const item = soloGroups(library, scenario).find((group) => group.id === action.group)?.items[0];
      if (item) desk.give(item, false);
      return;
    }
    case 'search':
      desk.search();
      return;
    case 'reassessed':
      desk.reassess();
      return;
    case 'mark':
      void session.tap({ kind: 'mark' }, 'Mark');
      return;
    case 'note':
      desk.note();
      return;
    case 'undo':
      desk.undoLast();
      return;
    case 'cuff':
      void session.tap({ kind: 'cuff-pressed' }, 'Cuff cycled');
      return;
    case 'cue': {
      const cue = (session.view?.cuesDue ?? []).find((each) => each.spokenAtMs === null);
      if (cue) void session.tap({ kind: 'cue-spoken', cue: cue.cue.id }, `${cue.cue.by} spoke`);
      return;
    }
    case 'backdate':
      session.agoMs = nextBackdate(session.agoMs);
      return;
  }
}
