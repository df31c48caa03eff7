/** The shared shapes the screens use, gathered in one place. Types only: nothing here reaches the bundle. */
export type {
  AckMessage,
  BackupAnswer,
  ClientMessage,
  CommandBody,
  CommandMessage,
  CrewFrame,
  CrewRole,
  FacultyFrame,
  JoinAnswer,
  LogLine,
  MonitorFrame,
  NetworkAnswer,
  ReadyAnswer,
  RefusedMessage,
  Role,
  LogAnswer,
  RunCard,
  ScenarioCard,
  ScoresAnswer,
  ServerMessage,
  SiteSettings,
  WhyAnswer,
} from '@breathline/protocol';
export type { Derived, RunDefinition, RunEvent, RunExport, RunPhase, RunView, ShownVitals } from '@breathline/engine';
export type { Diagnostic, GuidelinePack, Intervention, Library, Scenario } from '@breathline/scenario';
export type { Scorecard, TargetResult } from '@breathline/debrief';

/** A system problem found in a drill and not yet closed, as the register tells it. */
export interface OpenProblem {
  readonly id: string;
  readonly category: string;
  readonly words: string;
  /** `fixed` has not been tried again yet. */
  readonly status: string;
  /** When it was found, ISO. */
  readonly foundAt: string;
}
