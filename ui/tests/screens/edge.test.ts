import { expect, it } from 'vitest'
import { withUnit } from '../../src/screens/start/edge'

it.each([
  ['14,5', '14.5m'],
  [' 30 ', '30m'],
  ['40ft', '40ft'],
  // No unit is missing here: the program says that a height is over 0.
  ['-5', '-5m'],
  ['deep', 'deep'],
])('an edge height “%s” is sent as “%s”', (typed, sent) => expect(withUnit(typed)).toBe(sent))
