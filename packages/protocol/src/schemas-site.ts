/** Schemas of what a site sets, of joining, and of what the readiness board asks. */
import { Type } from '@sinclair/typebox';
import { Id, Label, Num, Phase, ROLES, Text, closed, list, nullable, oneOf } from './schemas-shared.ts';

const WardAlarm = nullable(closed({ words: Label, pitchHz: nullable(Type.Number({ minimum: 100, maximum: 8_000 })) }));
const SoundCap = Type.Number({ minimum: 0, maximum: 100 });
const Palette = Type.String({ maxLength: 40, pattern: '^[a-z0-9-]*$' });

export const SiteSettingsSchema = closed({
  wards: list(Label, 100),
  inSitu: Type.Boolean(),
  soundCapPercent: SoundCap,
  palette: Palette,
  calls: list(
    closed({
      id: Id,
      title: Label,
      picksUp: Label,
      answersAfterMs: Type.Integer({ minimum: 0, maximum: 3_600_000 }),
      asks: list(Label, 20),
      does: Type.String({ maxLength: 1_000 }),
      arrivesAfterMs: Type.Optional(Type.Integer({ minimum: 0, maximum: 14_400_000 })),
    }),
    50,
  ),
  wardAlarm: WardAlarm,
});

export const MonitorSiteSchema = closed({
  inSitu: Type.Boolean(),
  soundCapPercent: SoundCap,
  palette: Palette,
  wardAlarm: WardAlarm,
});

export const JoinedSchema = closed({
  ticket: Text,
  title: Text,
  role: Type.Optional(oneOf(ROLES)),
  pass: Type.Optional(Text),
  site: Type.Optional(MonitorSiteSchema),
});

export const PhotoAnswerSchema = closed({ photo: Text, bytes: Num });

export const NetworkSchema = closed({ origins: list(Text), secure: Type.Boolean(), trustAt: nullable(Text) });

export const BackupSchema = closed({
  folder: Text,
  sameDisk: nullable(Type.Boolean()),
  last: nullable(closed({ madeAt: Text, bytes: Num, runs: Num })),
  problem: nullable(Text),
  waiting: Type.Boolean(),
  stale: Num,
});

export const ReadySchema = closed({
  version: Text,
  freeDiskBytes: nullable(Num),
  dataFolderWritable: Type.Boolean(),
  backup: BackupSchema,
  lastSyncAt: nullable(Text),
  runs: list(
    closed({
      runId: Text,
      phase: Phase,
      monitors: Num,
      faculty: Num,
      loggers: Num,
      observers: Num,
      participants: Num,
    }),
  ),
});
