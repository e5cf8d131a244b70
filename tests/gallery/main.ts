import { mount } from 'svelte';
import '#lib/ui/look/base.css';
import { face, LANGUAGES, LIGHTS } from '#lib/ui/face.svelte.ts';
import Gallery from './Gallery.svelte';

const asked = new URLSearchParams(location.search);
face.start();
face.light = LIGHTS.find((light) => light === asked.get('light')) ?? 'day';
face.language = LANGUAGES.find((language) => language === asked.get('language')) ?? 'en';
face.wear(document);
mount(Gallery, { target: document.body, props: { show: asked.get('show') ?? '' } });
