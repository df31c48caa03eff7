import { describe, expect, it } from 'vitest';
import type { EventBody } from '@breathline/engine';
import { doerOf, withDoer } from '../../src/lib/console/doer.ts';

const CALL: EventBody = { kind: 'intervention', intervention: 'x', step: 'given', amount: null, doseSeen: false };
const KIT: EventBody = { kind: 'errand-sent', errand: 'kit', what: 'Resus trolley', delayMs: 60_000 };

describe('who did it', () => {
  it('is written where the log has a place for it, taken off again, and nothing else changes', () => {
    for (const body of [CALL, KIT]) {
      expect(doerOf(body)).toBeNull();
      const credited = withDoer(body, 'Nurse one');
      expect(credited && doerOf(credited)).toBe('Nurse one');
      expect(credited && withDoer(credited, null)).toEqual(body);
      expect(credited && doerOf(withDoer(credited, 'Nurse two') ?? body)).toBe('Nurse two');
    }
  });

  it('is not asked of what nobody of the team does', () => {
    for (const body of [{ kind: 'mark' }, { kind: 'run-started' }, { kind: 'note', text: 'x' }] as const) {
      expect(doerOf(body)).toBeUndefined();
      expect(withDoer(body, 'Nurse one')).toBeNull();
    }
  });
});
