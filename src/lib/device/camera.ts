/** The camera of the device, as a port: a denied, absent or busy one is a value with a way out. */
import { preparePhoto } from './photos.ts';
import type { Photo } from './photo.ts';
import { done, failed } from './trouble.ts';
import type { Result } from './trouble.ts';

export interface Camera {
  /** For `video.srcObject`. */
  readonly stream: MediaStream;
  /** Whether the lamp beside the lens can be lit from here. */
  readonly lamp: boolean;
  /** Lights the lamp or puts it out; false when the camera did not do it. */
  light(on: boolean): Promise<boolean>;
  /** Keeps what the video shows now. */
  capture(video: HTMLVideoElement): Promise<Result<Photo>>;
  stop(): void;
}

/** Opens the camera that looks away from the person; `camera-denied`, `camera-absent`, `camera-busy`. */
export async function openCamera(
  devices: Pick<MediaDevices, 'getUserMedia'> | undefined = globalThis.navigator?.mediaDevices,
): Promise<Result<Camera>> {
  if (devices === undefined) return absent();
  try {
    const stream = await devices.getUserMedia({
      audio: false,
      video: { facingMode: 'environment', width: { ideal: 2048 }, height: { ideal: 1536 } },
    });
    return done({
      stream,
      ...lampOf(stream),
      capture: (video) => preparePhoto(video),
      stop: () => stream.getTracks().forEach((track) => track.stop()),
    });
  } catch (error) {
    return refused(error instanceof Error ? error.name : '');
  }
}

/** Whether this device says that it has a camera; asks nobody for permission. */
export async function hasCamera(
  devices: Pick<MediaDevices, 'enumerateDevices'> | undefined = globalThis.navigator?.mediaDevices,
): Promise<boolean> {
  try {
    const found = await devices?.enumerateDevices();
    return found?.some(({ kind }) => kind === 'videoinput') ?? false;
  } catch {
    return false;
  }
}

/** `torch` of the W3C's MediaStream Image Capture, which the types of the DOM do not name yet. */
function lampOf(stream: MediaStream): Pick<Camera, 'lamp' | 'light'> {
  const track = stream.getVideoTracks()[0];
  const can = track?.getCapabilities?.() as { readonly torch?: boolean } | undefined;
  return {
    lamp: can?.torch === true,
    async light(on) {
      try {
        const wanted: MediaTrackConstraintSet & { readonly torch: boolean } = { torch: on };
        await track?.applyConstraints({ advanced: [wanted] });
        return track !== undefined;
      } catch {
        return false;
      }
    },
  };
}

function refused(name: string): Result<Camera> {
  if (name === 'NotAllowedError' || name === 'SecurityError') {
    return failed(
      'camera-denied',
      'The camera is not allowed for this page. Nothing was recorded. Allow it in the settings of the browser for this site, or choose a picture from the device instead.',
    );
  }
  if (name === 'NotReadableError' || name === 'AbortError') {
    return failed(
      'camera-busy',
      'The camera could not be started: another program may be using it. Nothing was recorded. Close that program and try again, or choose a picture from the device instead.',
    );
  }
  return absent();
}

function absent(): Result<Camera> {
  return failed(
    'camera-absent',
    'No camera was found here. Nothing was recorded. Choose a picture from the device instead.',
  );
}
