import type { Static, TSchema } from '@sinclair/typebox';
import { expect, it } from 'vitest';
import type { Derived, EventBody, RunDefinition, RunEvent, RunExport, TrackRow } from '@breathline/engine';
import type { Diagnostic, Library, Scenario } from '@breathline/scenario';
import type * as protocol from '../src/index.ts';
import type * as schemas from '../src/schemas.ts';

/** Strips `readonly` and flattens intersections, so that only the shape is compared. */
type Plain<T> = T extends string | number | boolean | null | undefined
  ? T
  : T extends readonly (infer Item)[]
    ? Plain<Item>[]
    : { -readonly [K in keyof T]: Plain<T[K]> };
type Same<A, B> = [A] extends [B]
  ? [B] extends [A]
    ? OptionalKeys<A> extends OptionalKeys<B>
      ? true
      : false
    : false
  : false;
type OptionalKeys<T> = T extends object ? { [K in keyof T]-?: object extends Pick<T, K> ? K : never }[keyof T] : never;
type Matches<S extends TSchema, T> = Same<Plain<Static<S>>, Plain<T>>;
const holds = <T extends true>(value: T) => value;

it('every schema says the same as the written type (the compiler decides; this list must compile)', () => {
  const all = [
    holds<Matches<typeof schemas.EventBodySchema, EventBody>>(true),
    holds<Matches<typeof schemas.RunEventSchema, RunEvent>>(true),
    holds<Matches<typeof schemas.JoinSchema, protocol.JoinMessage>>(true),
    holds<Matches<typeof schemas.CommandSchema, protocol.CommandMessage>>(true),
    holds<Matches<typeof schemas.PingSchema, protocol.PingMessage>>(true),
    holds<Matches<typeof schemas.HelloSchema, protocol.HelloMessage>>(true),
    holds<Matches<typeof schemas.AckSchema, protocol.AckMessage>>(true),
    holds<Matches<typeof schemas.RefusedSchema, protocol.RefusedMessage>>(true),
    holds<Matches<typeof schemas.LogLineSchema, protocol.LogLine>>(true),
    holds<Matches<typeof schemas.FacultyFrameSchema, protocol.FacultyFrame>>(true),
    holds<Matches<typeof schemas.MonitorFrameSchema, protocol.MonitorFrame>>(true),
    holds<Matches<typeof schemas.CrewFrameSchema, protocol.CrewFrame>>(true),
    holds<Matches<typeof schemas.JoinedSchema, protocol.JoinAnswer>>(true),
    holds<Matches<typeof schemas.SiteSettingsSchema, protocol.SiteSettings>>(true),
    holds<Matches<typeof schemas.MonitorSiteSchema, protocol.MonitorSite>>(true),
    holds<Matches<typeof schemas.PhotoAnswerSchema, protocol.PhotoAnswer>>(true),
    holds<Matches<typeof schemas.ReadySchema, protocol.ReadyAnswer>>(true),
    holds<Matches<typeof schemas.NetworkSchema, protocol.NetworkAnswer>>(true),
    holds<Matches<typeof schemas.ProblemEntrySchema, protocol.ProblemEntry>>(true),
    holds<Matches<typeof schemas.PersonEntrySchema, protocol.PersonEntry>>(true),
    holds<Matches<typeof schemas.RetentionSchema, protocol.RetentionSettings>>(true),
    holds<Matches<typeof schemas.PongSchema, protocol.PongMessage>>(true),
    holds<Matches<typeof schemas.ScenarioCardSchema, protocol.ScenarioCard>>(true),
    holds<Matches<typeof schemas.RunCardSchema, protocol.RunCard>>(true),
    holds<Matches<typeof schemas.DiagnosticSchema, Diagnostic>>(true),
    holds<Matches<typeof schemas.DerivedSchema, Derived>>(true),
    holds<Matches<typeof schemas.TrackRowSchema, TrackRow>>(true),
    holds<Matches<typeof schemas.LibrarySchema, Library>>(true),
    holds<Matches<typeof schemas.ScenarioSchema, Scenario>>(true),
    holds<Matches<typeof schemas.RunDefinitionSchema, RunDefinition>>(true),
    holds<Matches<typeof schemas.RunExportSchema, RunExport>>(true),
    holds<Matches<typeof schemas.WhyAnswerSchema, protocol.WhyAnswer>>(true),
    holds<Matches<typeof schemas.ScoresAnswerSchema, protocol.ScoresAnswer>>(true),
    holds<Matches<typeof schemas.LogAnswerSchema, protocol.LogAnswer>>(true),
  ];
  expect(all.every(Boolean)).toBe(true);
});

it('is a comparison that can fail', () => {
  type Wrong = Matches<typeof schemas.PingSchema, { t: 'ping'; n: string }>;
  type Missing = Matches<typeof schemas.JoinSchema, { t: 'join'; ticket: string }>;
  const wrong: Wrong = false;
  const missing: Missing = false;
  expect([wrong, missing]).toEqual([false, false]);
});
