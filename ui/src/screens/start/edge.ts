/** A bare number is metres; anything else is sent as it was typed, for the program to judge. */
export function withUnit(height: string): string {
  const typed = height.trim().replace(',', '.')
  return /^\d+(\.\d+)?$/.test(typed) ? `${typed}m` : height.trim()
}
