"""From throttle command to shaft torque: pack, speed controller and motor."""
