//! Vulkan beside the graphics library: a number for each present, so that the driver can be asked
//! to wait until that very present is on the screen (VK_KHR_present_id, VK_KHR_present_wait).
//!
//! The library knows neither extension, but takes every function of Vulkan from the entry that it
//! is given. Here is one that hands out the driver's own functions but for two: the present call,
//! to which a number is added, and the end of a swapchain, which must not come while somebody waits
//! for one of its presents. Used only where the driver offers both extensions; everywhere else the
//! library opens the driver by itself. One device and one swapchain at a time.

use std::ffi::{CStr, c_char};
use std::sync::atomic::{AtomicBool, AtomicU64, AtomicUsize, Ordering};
use std::sync::{Mutex, OnceLock, PoisonError};

use ash::vk::{self, Handle as _};
use wgpu::hal;
use wgpu::hal::api::Vulkan;

use super::report::Images;
use crate::units::Span;

/// The driver's loader, kept for good: its functions are handed out.
static LOADER: OnceLock<ash::Entry> = OnceLock::new();
/// Addresses of the driver's own functions behind ours; 0: not asked for yet.
static DEVICE_FUNCTIONS: AtomicUsize = AtomicUsize::new(0);
static PRESENT: AtomicUsize = AtomicUsize::new(0);
static END_SWAPCHAIN: AtomicUsize = AtomicUsize::new(0);
/// Whether the device was opened with both extensions.
static NUMBERED: AtomicBool = AtomicBool::new(false);
/// The number of the last present; they only rise.
static LAST: AtomicU64 = AtomicU64::new(0);
/// The swapchain of the last present, 0 once it has ended.
static SWAPCHAIN: AtomicU64 = AtomicU64::new(0);
/// Held while somebody waits for a present, and while a swapchain ends.
static WAITING: Mutex<()> = Mutex::new(());

/// Whether the driver offers both extensions and what they promise.
#[expect(unsafe_code, reason = "the graphics library hands out its Vulkan side only so")]
pub(super) fn offers_present_wait(adapter: &wgpu::Adapter) -> bool {
    // SAFETY: the adapter is only asked, and nothing of it is kept or destroyed.
    let Some(adapter) = (unsafe { adapter.as_hal::<Vulkan>() }) else { return false };
    let told = adapter.physical_device_capabilities();
    let named = told.supports_extension(ash::khr::present_id::NAME)
        && told.supports_extension(ash::khr::present_wait::NAME);
    let instance = adapter.shared_instance();
    if !named || instance.instance_api_version() < vk::API_VERSION_1_1 {
        return false;
    }
    let mut id = vk::PhysicalDevicePresentIdFeaturesKHR::default();
    let mut wait = vk::PhysicalDevicePresentWaitFeaturesKHR::default();
    let mut features =
        vk::PhysicalDeviceFeatures2::default().push_next(&mut id).push_next(&mut wait);
    let card = adapter.raw_physical_device();
    // SAFETY: the card is the instance's, whose version has the call; the chain outlives it.
    unsafe { instance.raw_instance().get_physical_device_features2(card, &mut features) };
    id.present_id == vk::TRUE && wait.present_wait == vk::TRUE
}

/// An instance whose presents pass through here; `None` where it cannot be had, which is no fault:
/// the plain one is there.
#[expect(unsafe_code, reason = "Vulkan's own interface")]
pub(super) fn instance() -> Option<wgpu::Instance> {
    if LOADER.get().is_none() {
        // SAFETY: the system's Vulkan loader runs its initialisation, as it does for the library.
        let entry = unsafe { ash::Entry::load() }.ok()?;
        // Set by another thread meanwhile: that one serves as well.
        drop(LOADER.set(entry));
    }
    let functions = ash::StaticFn { get_instance_proc_addr: instance_function };
    // SAFETY: our function answers as the loader's does, which stays loaded for good.
    let entry = unsafe { ash::Entry::from_static_fn(functions) };
    // SAFETY: asked of the loader, without arguments.
    let version = unsafe { entry.try_enumerate_instance_version() }.ok()??;
    let version = version.min(vk::API_VERSION_1_3);
    let flags = wgpu::InstanceFlags::empty();
    let extensions = hal::vulkan::Instance::desired_extensions(&entry, version, flags).ok()?;
    let names: Vec<*const c_char> = extensions.iter().map(|name| name.as_ptr()).collect();
    let about = vk::ApplicationInfo::default().api_version(version);
    let asked =
        vk::InstanceCreateInfo::default().application_info(&about).enabled_extension_names(&names);
    // SAFETY: `asked` and all that it points to outlive the call; the extensions are offered.
    let raw = unsafe { entry.create_instance(&asked, None) }.ok()?;
    let memory = wgpu::MemoryBudgetThresholds::default();
    // SAFETY: `raw` was made by `entry` with these very extensions, version and flags, and is given
    // away: without a callback the library ends it.
    let instance = unsafe {
        hal::vulkan::Instance::from_raw(
            entry, raw, version, 0, None, extensions, flags, memory, false, None,
        )
    };
    // SAFETY: a sound instance that nobody else holds.
    Some(unsafe { wgpu::Instance::from_hal::<Vulkan>(instance.ok()?) })
}

/// The adapter's device with both extensions; `None` where the driver opens none.
#[expect(unsafe_code, reason = "Vulkan's own interface")]
pub(super) fn device(
    adapter: &wgpu::Adapter,
    asked: &wgpu::DeviceDescriptor<'_>,
) -> Option<(wgpu::Device, wgpu::Queue)> {
    let mut id = vk::PhysicalDevicePresentIdFeaturesKHR::default().present_id(true);
    let mut wait = vk::PhysicalDevicePresentWaitFeaturesKHR::default().present_wait(true);
    let open = {
        // SAFETY: nothing of the adapter is kept or destroyed.
        let adapter = unsafe { adapter.as_hal::<Vulkan>() }?;
        let (id, wait) = (&mut id, &mut wait);
        let add: Box<hal::vulkan::CreateDeviceCallback<'_>> = Box::new(move |opened| {
            opened.extensions.extend([ash::khr::present_id::NAME, ash::khr::present_wait::NAME]);
            let info = std::mem::take(opened.create_info);
            *opened.create_info = info.push_next(id).push_next(wait);
        });
        // SAFETY: the driver offers both extensions, as was asked before; nothing is taken away.
        unsafe {
            adapter.open_with_callback(
                asked.required_features,
                &asked.required_limits,
                &asked.memory_hints,
                Some(add),
            )
        }
    };
    // SAFETY: opened from this adapter, with the features that `asked` names.
    let opened = unsafe { adapter.create_device_from_hal::<Vulkan>(open.ok()?, asked) }.ok()?;
    let hooked = PRESENT.load(Ordering::Acquire) != 0 && END_SWAPCHAIN.load(Ordering::Acquire) != 0;
    NUMBERED.store(hooked, Ordering::Release);
    Some(opened)
}

/// The last present's number.
pub(super) fn last_present() -> u64 {
    LAST.load(Ordering::Acquire)
}

/// Asks a driver to wait for presents.
pub(super) struct Waiter {
    functions: ash::khr::present_wait::Device,
    /// Keeps the device behind the functions.
    _device: wgpu::Device,
}

/// What a wait came to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Waited {
    /// The present, or a later one, is on the screen.
    Shown,
    /// Not within the time.
    NotYet,
    /// It never will be: the swapchain has ended, or the driver refused.
    Never,
}

impl Waiter {
    /// For a device that was opened with both extensions.
    #[expect(unsafe_code, reason = "the graphics library hands out its Vulkan side only so")]
    pub(super) fn of(device: &wgpu::Device) -> Option<Waiter> {
        if !NUMBERED.load(Ordering::Acquire) {
            return None;
        }
        // SAFETY: functions are looked up; nothing is destroyed, and the device is kept with them.
        let hal = unsafe { device.as_hal::<Vulkan>() }?;
        let instance = hal.shared_instance().raw_instance();
        let name = c"vkWaitForPresentKHR".as_ptr();
        // SAFETY: a name with an end is looked up in a device that is alive.
        let found = unsafe { instance.get_device_proc_addr(hal.raw_device().handle(), name) };
        found?;
        let functions = ash::khr::present_wait::Device::new(instance, hal.raw_device());
        Some(Waiter { functions, _device: device.clone() })
    }

    /// Waits for the present of this number, at most `longest`.
    #[expect(unsafe_code, reason = "Vulkan's own interface")]
    pub(super) fn wait(&self, number: u64, longest: Span) -> Waited {
        // While it is held the swapchain does not end.
        let _alive = WAITING.lock().unwrap_or_else(PoisonError::into_inner);
        let swapchain = vk::SwapchainKHR::from_raw(SWAPCHAIN.load(Ordering::Acquire));
        if swapchain.is_null() {
            return Waited::Never;
        }
        let ns = u64::try_from(longest.0).unwrap_or(0);
        // SAFETY: the swapchain is alive while the lock is held, its device while `self` is; the
        // specification allows this call beside acquire and present of the same swapchain.
        match unsafe { self.functions.wait_for_present(swapchain, number, ns) } {
            Ok(()) => Waited::Shown,
            Err(vk::Result::TIMEOUT) => Waited::NotYet,
            Err(_) => Waited::Never,
        }
    }
}

impl std::fmt::Debug for Waiter {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Waiter")
    }
}

/// The images of a surface's swapchain. `asked`: by the wish for a short line.
#[expect(unsafe_code, reason = "the graphics library hands out its Vulkan side only so")]
pub(super) fn images(
    surface: &wgpu::Surface<'_>,
    device: &wgpu::Device,
    asked: u32,
) -> Option<Images> {
    // SAFETY: both are only asked, on the thread that configures them.
    let (surface, device) = unsafe { (surface.as_hal::<Vulkan>()?, device.as_hal::<Vulkan>()?) };
    let swapchain = surface.raw_native_swapchain()?;
    let instance = device.shared_instance().raw_instance();
    let functions = ash::khr::swapchain::Device::new(instance, device.raw_device());
    // SAFETY: the swapchain is the surface's own and alive: no configuration is under way.
    let images = unsafe { functions.get_swapchain_images(swapchain) }.ok()?;
    Some(Images { asked, got: u32::try_from(images.len()).ok()? })
}

/// `vkGetInstanceProcAddr`: the loader's answer but for the function that hands out a device's.
#[expect(unsafe_code, reason = "a function of Vulkan's own interface")]
unsafe extern "system" fn instance_function(
    instance: vk::Instance,
    name: *const c_char,
) -> vk::PFN_vkVoidFunction {
    let loader = LOADER.get()?;
    // SAFETY: called as Vulkan's own function is: `name` is a text with an end.
    let real = unsafe { (loader.static_fn().get_instance_proc_addr)(instance, name) };
    // SAFETY: as above.
    if unsafe { CStr::from_ptr(name) } != c"vkGetDeviceProcAddr" {
        return real;
    }
    DEVICE_FUNCTIONS.store(real? as usize, Ordering::Release);
    let ours: vk::PFN_vkGetDeviceProcAddr = device_function;
    // SAFETY: one kind of function address for another, as Vulkan hands them out.
    Some(unsafe {
        std::mem::transmute::<vk::PFN_vkGetDeviceProcAddr, unsafe extern "system" fn()>(ours)
    })
}

/// `vkGetDeviceProcAddr`: the driver's answer but for two functions.
#[expect(unsafe_code, reason = "a function of Vulkan's own interface")]
unsafe extern "system" fn device_function(
    device: vk::Device,
    name: *const c_char,
) -> vk::PFN_vkVoidFunction {
    let real = DEVICE_FUNCTIONS.load(Ordering::Acquire);
    if real == 0 {
        return None;
    }
    // SAFETY: stored from the loader's answer for this very name, and never freed.
    let real = unsafe { std::mem::transmute::<usize, vk::PFN_vkGetDeviceProcAddr>(real) };
    // SAFETY: called as Vulkan's own function is.
    let real = unsafe { real(device, name) }?;
    // SAFETY: `name` is a text with an end.
    let name = unsafe { CStr::from_ptr(name) };
    if name == c"vkQueuePresentKHR" {
        PRESENT.store(real as usize, Ordering::Release);
        let ours: vk::PFN_vkQueuePresentKHR = present;
        // SAFETY: one kind of function address for another, as Vulkan hands them out.
        return Some(unsafe {
            std::mem::transmute::<vk::PFN_vkQueuePresentKHR, unsafe extern "system" fn()>(ours)
        });
    }
    if name == c"vkDestroySwapchainKHR" {
        END_SWAPCHAIN.store(real as usize, Ordering::Release);
        let ours: vk::PFN_vkDestroySwapchainKHR = end_swapchain;
        // SAFETY: as above.
        return Some(unsafe {
            std::mem::transmute::<vk::PFN_vkDestroySwapchainKHR, unsafe extern "system" fn()>(ours)
        });
    }
    Some(real)
}

/// `vkQueuePresentKHR`, with a number for a single swapchain's present.
#[expect(unsafe_code, reason = "a function of Vulkan's own interface")]
unsafe extern "system" fn present(
    queue: vk::Queue,
    info: *const vk::PresentInfoKHR<'_>,
) -> vk::Result {
    // SAFETY: stored from the driver's answer for this very name before ours was handed out.
    let real = unsafe {
        std::mem::transmute::<usize, vk::PFN_vkQueuePresentKHR>(PRESENT.load(Ordering::Acquire))
    };
    // SAFETY: Vulkan's own contract: `info` is sound for the length of the call.
    let asked = unsafe { &*info };
    if asked.swapchain_count != 1 {
        // SAFETY: passed on as it came.
        return unsafe { real(queue, info) };
    }
    // SAFETY: the count says that there is one.
    SWAPCHAIN.store(unsafe { *asked.p_swapchains }.as_raw(), Ordering::Release);
    let numbers = [LAST.fetch_add(1, Ordering::AcqRel) + 1];
    if !NUMBERED.load(Ordering::Acquire) {
        // SAFETY: passed on as it came.
        return unsafe { real(queue, info) };
    }
    let mut numbered = vk::PresentIdKHR::default().present_ids(&numbers);
    numbered.p_next = asked.p_next;
    let mut with_number = *asked;
    with_number.p_next = (&raw const numbered).cast();
    // SAFETY: a copy of what came, with one link before its chain, which outlives the call.
    unsafe { real(queue, &raw const with_number) }
}

/// `vkDestroySwapchainKHR`, once nobody waits for its presents.
#[expect(unsafe_code, reason = "a function of Vulkan's own interface")]
unsafe extern "system" fn end_swapchain(
    device: vk::Device,
    swapchain: vk::SwapchainKHR,
    memory: *const vk::AllocationCallbacks<'_>,
) {
    let _nobody_waits = WAITING.lock().unwrap_or_else(PoisonError::into_inner);
    let ended = swapchain.as_raw();
    // Another one is in use already: then it stays.
    let _another = SWAPCHAIN.compare_exchange(ended, 0, Ordering::AcqRel, Ordering::Acquire);
    // SAFETY: stored from the driver's answer for this very name before ours was handed out, and
    // called as it came.
    unsafe {
        std::mem::transmute::<usize, vk::PFN_vkDestroySwapchainKHR>(
            END_SWAPCHAIN.load(Ordering::Acquire),
        )(device, swapchain, memory);
    }
}
