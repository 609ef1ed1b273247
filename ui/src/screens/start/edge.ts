/** A bare number is metres, also one that is no height, so that the program says that and not “unit”; anything else is sent as it was typed, for the program to judge. */
export function withUnit(height: string): string {
  const typed = height.trim().replace(',', '.')
  return /^[-+]?\d+(\.\d+)?$/.test(typed) ? `${typed}m` : height.trim()
}
