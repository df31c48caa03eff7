/** What the register calls things. */
export const CATEGORIES = [
  { value: 'kit', label: 'Equipment' },
  { value: 'drug', label: 'Medicines' },
  { value: 'layout', label: 'Layout of the place' },
  { value: 'phone', label: 'Calling for help' },
  { value: 'staffing', label: 'Staffing' },
  { value: 'guideline', label: 'Guideline' },
  { value: 'other', label: 'Something else' },
] as const;

export const RISKS = [
  { value: 'high', label: 'High' },
  { value: 'moderate', label: 'Moderate' },
  { value: 'low', label: 'Low' },
] as const;

export const STATUSES = [
  { value: 'open', label: 'Open' },
  { value: 'fixed', label: 'Mended, not tried again' },
  { value: 'retested', label: 'Tried again: closed' },
  { value: 'not-a-problem', label: 'Not a problem after all' },
] as const;

export const labelOf = (all: readonly { readonly value: string; readonly label: string }[], value: string): string =>
  all.find((one) => one.value === value)?.label ?? value;
