/** How each shown vital is named, measured and coloured, everywhere. */
export interface VitalLook {
  readonly label: string;
  /** For tight places; expanded for screen readers by `label`. */
  readonly short: string;
  readonly unit: string;
  /** CSS custom property holding its colour; a site may set `--site-…` in static/site.css. */
  readonly token: string;
  /** Decimal places shown. */
  readonly places: number;
}

export type ShownVitalId =
  | 'spo2Percent'
  | 'pulsePerMin'
  | 'heartRatePerMin'
  | 'respiratoryRatePerMin'
  | 'etco2MmHg'
  | 'temperatureCelsius'
  | 'glucoseMmolPerL'
  | 'bloodPressure';

export const VITALS: Readonly<Record<ShownVitalId, VitalLook>> = {
  heartRatePerMin: { label: 'Heart rate', short: 'Heart', unit: '/min', token: '--vital-heart', places: 0 },
  pulsePerMin: { label: 'Pulse', short: 'Pulse', unit: '/min', token: '--vital-oxygen', places: 0 },
  spo2Percent: { label: 'Oxygen saturation', short: 'SpO₂', unit: '%', token: '--vital-oxygen', places: 0 },
  bloodPressure: { label: 'Blood pressure', short: 'BP', unit: 'mmHg', token: '--vital-pressure', places: 0 },
  respiratoryRatePerMin: {
    label: 'Breathing rate',
    short: 'Breaths',
    unit: '/min',
    token: '--vital-breathing',
    places: 0,
  },
  etco2MmHg: { label: 'End-tidal carbon dioxide', short: 'EtCO₂', unit: 'mmHg', token: '--vital-co2', places: 0 },
  temperatureCelsius: { label: 'Temperature', short: 'Temp', unit: '°C', token: '--vital-temperature', places: 1 },
  glucoseMmolPerL: { label: 'Blood glucose', short: 'Glucose', unit: 'mmol/L', token: '--vital-glucose', places: 1 },
};
