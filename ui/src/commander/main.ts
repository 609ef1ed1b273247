import { mount } from 'svelte'
import '../styles/fonts.css'
import '../styles/tokens.css'
import '../styles/base.css'
import Commander from './Commander.svelte'

const target = document.getElementById('app')
if (!target) throw new Error('commander.html has no #app')
mount(Commander, { target })
