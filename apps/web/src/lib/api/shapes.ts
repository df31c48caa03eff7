/** The shared shapes the screens use, gathered in one place. Types only: nothing here reaches the bundle. */
export type {
  AckMessage,
  ClientMessage,
  CommandBody,
  CommandMessage,
  CrewFrame,
  CrewRole,
  FacultyFrame,
  JoinAnswer,
  LogLine,
  MonitorFrame,
  RefusedMessage,
  Role,
  RunCard,
  ScenarioCard,
  ScoresAnswer,
  ServerMessage,
  WhyAnswer,
} from '@breathline/protocol';
export type { Derived, RunDefinition, RunEvent, RunExport, RunPhase, RunView, ShownVitals } from '@breathline/engine';
export type { Diagnostic, GuidelinePack, Intervention, Library, Scenario } from '@breathline/scenario';
export type { Scorecard, TargetResult } from '@breathline/debrief';
