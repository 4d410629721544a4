"""What goes with the vehicle: checklist and signatures, handover, daily use, rescue note, labels."""
