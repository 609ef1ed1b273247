import type { PersonView } from '../../wire/PersonView'
import type { Option } from '../parts/Pick.svelte'
import { matchNames } from '../team/bands'

/** Everyone who was there, gone by now or not: the review comes after. */
export function everyone(people: PersonView[]): (typed: string) => Option[] {
  return (typed) =>
    matchNames(typed, people.map((p) => p.person)).map((name) => {
      const person = people.find((p) => p.person === name)
      return { value: name, label: name, note: person?.roles.join(', ') ?? '' }
    })
}
