// By what the next call is said: the radio channel by its name, voice, whistle or hand.
import { operation } from './operation.svelte'

class Channel {
  /** Which of `all` is chosen. */
  chosen = $state(0)

  /** The radio has the name the size-up gave it. */
  readonly all = $derived.by(() => [operation.view?.size_up['channel']?.text || 'radio', 'voice', 'whistle', 'hand'])

  readonly name = $derived(this.all[this.chosen] ?? 'radio')
}

export const channel = new Channel()
